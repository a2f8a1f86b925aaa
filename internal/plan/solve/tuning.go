package solve

// Tuning are the search's own settings. None changes what a valid plan is, only
// how soon a good one is found.
type Tuning struct {
	Walks int   // logical searches
	Steps int64 // a round: each search takes so many between two barriers
	Meet  int64 // rounds between two meetings of searches that work on one plan
	Ruin  int   // most needs to unseat in a step
	Open  int   // most needs without a seat to take up in a step
	Pack  int   // one step in so many puts a day in order anew, as long as needs have no seat
	Noise int64 // most that chance adds to what a choice costs, in 1024ths
	Haste int64 // a day of delay costs at most one in so many of a need's mean cost
	Blink int   // one in so many choices is overlooked
	Hot   int64 // temperature at the start of a cycle, in 1024ths of a need's mean cost
	Cold  int64 // temperature at its end
	Cycle int64 // length of the first cycle, in steps
}

// setting is one row of the table of settings.
type setting struct {
	name            string
	low, usual, top int64
	use             string
	set             func(*Tuning, int64)
}

// settings are all settings with their range and the value they usually have.
var settings = []setting{
	{"walks", 1, 4, 16, "logical searches, whatever the number of cores", func(t *Tuning, v int64) { t.Walks = int(v) }},
	{"steps", 1, 32, 1 << 20, "steps of each search between two barriers", func(t *Tuning, v int64) { t.Steps = v }},
	{"meet", 1, 4, 1 << 20, "rounds between two meetings of searches that work on one plan", func(t *Tuning, v int64) { t.Meet = v }},
	{"ruin", 2, 60, 10_000, "most needs to unseat in a step", func(t *Tuning, v int64) { t.Ruin = int(v) }},
	{"open", 0, 40, 10_000, "most needs without a seat to take up in a step", func(t *Tuning, v int64) { t.Open = int(v) }},
	{"pack", 1, 8, 10_000, "one step in so many puts a day in order anew, as long as needs have no seat", func(t *Tuning, v int64) { t.Pack = int(v) }},
	{"noise", 0, 256, 10_240, "most that chance adds to what a choice costs, in 1024ths", func(t *Tuning, v int64) { t.Noise = v }},
	{"haste", 1, 4, 1 << 20, "a day of delay costs at most one in so many of a need's mean cost", func(t *Tuning, v int64) { t.Haste = v }},
	{"blink", 0, 100, 10_000, "one in so many choices is overlooked, 0 = none", func(t *Tuning, v int64) { t.Blink = int(v) }},
	{"hot", 0, 1024, 1 << 20, "temperature at the start of a cycle, in 1024ths of a need's mean cost", func(t *Tuning, v int64) { t.Hot = v }},
	{"cold", 0, 16, 1 << 20, "temperature at the end of a cycle, in 1024ths of a need's mean cost", func(t *Tuning, v int64) { t.Cold = v }},
	{"cycle", 1, 1000, 1 << 30, "steps of the first cycle; each is twice as long as the last", func(t *Tuning, v int64) { t.Cycle = v }},
}

// Usual returns the usual settings.
func Usual() Tuning {
	var t Tuning
	for _, s := range settings {
		s.set(&t, s.usual)
	}
	return t
}
