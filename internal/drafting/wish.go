package drafting

import (
	"slices"

	"github.com/go-json-experiment/json"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
)

// Wish is what somebody would have planned. Trainees are picked one by one,
// beside the whole intakes.
type Wish struct {
	Intakes     []id.Intake  `json:"intakes,omitzero"`
	Trainees    []id.Trainee `json:"trainees,omitzero"`
	From, Until civil.Day    // both counted
	Soon        Level        // finish soon
	FewDays     Level        // few days on which a trainee comes in
	SpareStaff  Level        // few staff hours
	Seconds     int          // how long to search
	Seed        int64        `json:"seed,omitzero"` // 0 and any other: same wish, same seed, same plan for the same work
}

// MostDays is the longest span that one draft may plan: half a year.
const MostDays = 184

// MostSeconds is the longest search.
const MostSeconds = 15 * 60

// Searches lists how long a search may be asked to last, in seconds, in the
// order forms show.
func Searches() []int { return []int{10, 30, 60, 300} }

// check judges a wish by itself. today is the first day that may be planned.
func (w Wish) check(kind Kind, today civil.Day) error {
	bad := fault.Fields{}
	if kind == ForIntake && len(w.Intakes)+len(w.Trainees) == 0 {
		bad.Add("intakes", "Choose an intake or trainees.")
	}
	checkSpan(bad, w.From, w.Until, today)
	for field, level := range map[string]Level{"soon": w.Soon, "few_days": w.FewDays, "spare_staff": w.SpareStaff} {
		if !known(level) {
			bad.Add(field, "Choose little, middle or much.")
		}
	}
	if w.Seconds < 1 || w.Seconds > MostSeconds {
		bad.Add("seconds", "Choose how long to search, at most %d minutes.", MostSeconds/60)
	}
	return bad.Err()
}

func checkSpan(bad fault.Fields, from, until, today civil.Day) {
	switch {
	case from < today:
		bad.Add("from", "The first day is over. Give today or a later day.")
	case until < from:
		bad.Add("until", "The last day lies before the first. Give a later last day.")
	case until-from >= MostDays:
		bad.Add("until", "At most %d days can be planned at once. Give an earlier last day.", MostDays)
	}
}

// memo is what a draft keeps of what was asked for and of what its cost is made
// of, so that a list of drafts needs no problem file.
type memo struct {
	Wish     Wish
	Last     civil.Day // the last on which a session may change
	Unplaced int64     // what a need without a place costs
	Never    []barred  `json:",omitzero"`
	Base     int64     // what no plan of the problem can save: fixed sessions, and the days before the first
}

func (m memo) text() (string, error) {
	b, err := json.Marshal(m, json.Deterministic(true))
	return string(b), err
}

func readMemo(text string) (m memo, err error) {
	err = json.Unmarshal([]byte(text), &m)
	return m, err
}

// title names a draft: the intakes planned, or the days mended.
func title(kind Kind, w Wish, ref *planning.Reference, day civil.Day) string {
	if kind == ForMend {
		return "Repair"
	}
	var names []string
	for _, in := range w.Intakes {
		rec, _ := ref.Intakes.On(in, day)
		if n := ref.Text(rec.Name); n != "" {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	switch {
	case len(names) == 0:
		return "Chosen trainees"
	case len(w.Trainees) > 0:
		return join(names) + " and chosen trainees"
	}
	return join(names)
}

func join(words []string) string {
	out := ""
	for i, w := range words {
		switch {
		case i > 0 && i == len(words)-1:
			out += " and "
		case i > 0:
			out += ", "
		}
		out += w
	}
	return out
}
