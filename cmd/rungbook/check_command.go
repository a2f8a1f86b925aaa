package main

type checkCommand struct {
	Problem string `arg:"" help:"The planning problem, a JSON file (rungbook.problem.v1)."`
	Plan    string `arg:"" help:"The plan to judge, a JSON file (rungbook.plan.v1)."`
	From    string `help:"The plan that this one repairs, so that moved sessions are priced and the stated cost can be judged." placeholder:"OLD"`
}

// Help tells what the command prints and how it ends.
func (checkCommand) Help() string {
	return `Prints one line a violation on standard output: the rule, the session or person, what was found, what is required. Prints on standard error how many sessions were judged, the needs without a place, the cost worked out anew and the number of violations. It reads the files named, writes none and needs no database.

Exit codes: 0 every rule holds; 1 some are broken; 2 a file can't be used, and the message names the field by its JSON pointer, such as /exercises/0/ratio.

Examples:

  rungbook check problem.json plan.json
  rungbook check problem.json repaired.json --from plan.json`
}

// Run judges the plan.
func (c *checkCommand) Run(s *surroundings) error { return runCheck(checkArgs(*c), s.stdout, s.stderr) }
