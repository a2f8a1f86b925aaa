package main

type checkCommand struct {
	Problem string `arg:"" help:"The planning problem, a JSON file (rungbook.problem.v1)."`
	Plan    string `arg:"" help:"The plan to judge, a JSON file (rungbook.plan.v1)."`
	From    string `help:"The plan that this one repairs, so that moved sessions are priced and the stated cost can be judged." placeholder:"OLD"`
}

// Help tells what the command prints and how it ends.
func (checkCommand) Help() string {
	return `Prints one line a violation: the rule, the session or person, what was found and what is required. A summary goes to standard error: sessions, needs unplaced and the cost worked out anew.

Ends with 0 when every rule holds, 1 when some are broken, 2 when a file can't be used; the message then names the field by its JSON pointer.`
}

// Run judges the plan.
func (c *checkCommand) Run(s *surroundings) error {
	if code := runCheck(checkArgs(*c), s.stdout, s.stderr); code != exitOK {
		return exitCode(code)
	}
	return nil
}
