package main

type planCommand struct {
	Problem string   `arg:"" help:"The planning problem, a JSON file (rungbook.problem.v1)."`
	Output  string   `short:"o" help:"Where the plan goes, a JSON file (rungbook.plan.v1); it is replaced whole or not at all." placeholder:"PLAN"`
	Seconds *float64 `help:"Plan for at most so many seconds of wall time; 10 if nothing is said." placeholder:"S"`
	Effort  *int64   `help:"Do a fixed amount of work in place of a time: the same problem, seed and effort give the same bytes on any machine." placeholder:"N"`
	Seed    int64    `help:"Where chance begins." default:"1" placeholder:"N"`
	From    string   `help:"A plan to repair: its sessions that still hold stay unless moving them pays." placeholder:"OLD"`
	Explain string   `help:"Tell on standard output why the plan leaves a need without a place." placeholder:"TRAINEE/EXERCISE"`
}

// Help tells what the command does and how it ends.
func (planCommand) Help() string {
	return `Plans the needs of a problem: sessions with station, time, trainees, instructors and rescuers that break no rule, at a low cost. Every plan is judged by the rules of "rungbook check" before it is written; one that breaks a rule is never written. Progress goes to standard error: effort, steps, best cost, bound, gap and needs without a place. A first Ctrl-C, or SIGTERM, ends the search and writes the best plan found so far; a second ends the program at once.

The plan states as made.effort the work it took, so that it can be made again to the same bytes with --effort and the same seed.

A repair lists the people whose sessions change, with before and after.

Needs that no plan can place are named before the search, with the rule that proves it.

With --explain the plan is made, written if -o says where, and then the causes are told that keep one need out of it: who, which station, which rule, which window. With all of them lifted the need fits; with any one put back, an insertion search of the effort stated finds no place for it, and no more is said than that. To explain a plan that there is already, unchanged: --from PLAN --effort 0.

Exit codes: 0 every need is placed; 3 the plan is written and some needs have no place, each with its reason; 2 a file or an argument can't be used, and the message names the field by its JSON pointer. With --explain it is 0 once the need is explained.

Examples:

  rungbook plan problem.json -o plan.json --seconds 60
  rungbook plan problem.json -o plan.json --effort 200 --seed 7
  rungbook plan changed.json -o repaired.json --from plan.json
  rungbook plan problem.json --from plan.json --effort 0 --explain kim/rescue-1`
}

// Run makes the plan.
func (c *planCommand) Run(s *surroundings) error { return runPlan(c, s) }
