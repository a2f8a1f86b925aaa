package rulebook

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
)

// Policy is the rest policy of one profile: whose limits they are and what they
// are. A limit of 0 is none. The fields mean what planning-problem.md says of a
// rest policy.
type Policy struct {
	Profile         id.Profile
	DailyRest       civil.Minutes
	WeeklyRest      civil.Minutes
	WeeklyRestDays  int
	WeeklyRestCount int
	RunDays         int
	DayMinutes      civil.Minutes
	DaySpan         civil.Minutes
	WeekMinutes     civil.Minutes
	HeightDay       civil.Minutes
	Stretch         civil.Minutes
	Break           civil.Minutes

	// Decided says for each limit that is not 0 which line of which version set it.
	Decided map[Quantity]Decision
}

// Decision is the line that set a limit.
type Decision struct {
	Version id.RuleBook
	Line    Line
}

// Policy returns the rest policy of a profile. ok is false where the centre has
// not selected the profile or where it holds no limit on rest: then the rest
// policy is not stated, which stops.
func (v Version) Policy(p id.Profile) (policy Policy, ok bool) {
	policy = Policy{Profile: p, Decided: map[Quantity]Decision{}}
	if !v.Selected(p) {
		return policy, false
	}
	for _, l := range v.Lines {
		if l.Profile != p || !l.Quantity.Rest() || l.Value <= 0 {
			continue
		}
		policy.set(l.Quantity, l.Value)
		policy.Decided[l.Quantity] = Decision{v.ID, l}
	}
	if policy.WeeklyRest > 0 {
		if policy.WeeklyRestDays == 0 {
			policy.WeeklyRestDays = 7
		}
		policy.WeeklyRestCount = max(policy.WeeklyRestCount, 1)
	}
	return policy, len(policy.Decided) > 0
}

func (p *Policy) set(q Quantity, value int64) {
	switch q {
	case DailyRest:
		p.DailyRest = civil.Minutes(value)
	case WeeklyRest:
		p.WeeklyRest = civil.Minutes(value)
	case WeeklyRestDays:
		p.WeeklyRestDays = int(value)
	case WeeklyRestCount:
		p.WeeklyRestCount = int(value)
	case RunDays:
		p.RunDays = int(value)
	case DayMinutes:
		p.DayMinutes = civil.Minutes(value)
	case DaySpan:
		p.DaySpan = civil.Minutes(value)
	case WeekMinutes:
		p.WeekMinutes = civil.Minutes(value)
	case HeightDay:
		p.HeightDay = civil.Minutes(value)
	case Stretch:
		p.Stretch = civil.Minutes(value)
	case Break:
		p.Break = civil.Minutes(value)
	}
}

func (p Policy) get(q Quantity) int64 {
	switch q {
	case DailyRest:
		return int64(p.DailyRest)
	case WeeklyRest:
		return int64(p.WeeklyRest)
	case WeeklyRestDays:
		return int64(p.WeeklyRestDays)
	case WeeklyRestCount:
		return int64(p.WeeklyRestCount)
	case RunDays:
		return int64(p.RunDays)
	case DayMinutes:
		return int64(p.DayMinutes)
	case DaySpan:
		return int64(p.DaySpan)
	case WeekMinutes:
		return int64(p.WeekMinutes)
	case HeightDay:
		return int64(p.HeightDay)
	case Stretch:
		return int64(p.Stretch)
	case Break:
		return int64(p.Break)
	}
	return 0
}

// Line returns the line that set a limit, nil where the policy has none.
func (p Policy) Line(q Quantity) *Line {
	if d, ok := p.Decided[q]; ok {
		return &d.Line
	}
	return nil
}

// Stricter returns the policy that holds whatever a or b holds: of each limit
// the stricter one, with the decision that set it. It is for horizons in which
// the rule book changes. On a tie a's decision stays. Precondition: both are of
// one profile.
//
// A weekly rest is three numbers that have no single order (24 h in 7 days, 48 h
// in 14). The answer takes the longest rest, the most rests and blocks of the
// greatest common divisor of both lengths, so that each block of a and of b
// holds a whole number of the answer's blocks and is met when they are.
func Stricter(a, b Policy) Policy {
	out := Policy{Profile: a.Profile, Decided: map[Quantity]Decision{}}
	take := func(q Quantity, from Policy) {
		out.set(q, from.get(q))
		if d, ok := from.Decided[q]; ok {
			out.Decided[q] = d
		}
	}
	for _, m := range meanings {
		q := m.Quantity
		if !q.Rest() || q == WeeklyRestDays {
			continue
		}
		x, y := a.get(q), b.get(q)
		if y != 0 && (x == 0 || (m.Sense == AtMost && y < x) || (m.Sense != AtMost && y > x)) {
			take(q, b)
		} else {
			take(q, a)
		}
	}
	switch {
	case a.WeeklyRest == 0:
		take(WeeklyRestDays, b)
	case b.WeeklyRest == 0:
		take(WeeklyRestDays, a)
	default:
		days := gcd(a.WeeklyRestDays, b.WeeklyRestDays)
		take(WeeklyRestDays, a)
		if days == b.WeeklyRestDays && days != a.WeeklyRestDays {
			take(WeeklyRestDays, b)
		}
		out.WeeklyRestDays = days
	}
	return out
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}

// Changed lists the rest quantities in which two policies differ, in page order.
func Changed(a, b Policy) []Quantity {
	var out []Quantity
	for _, m := range meanings {
		if m.Quantity.Rest() && a.get(m.Quantity) != b.get(m.Quantity) {
			out = append(out, m.Quantity)
		}
	}
	return slices.Clip(out)
}
