package founding

import (
	"context"
	"fmt"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Part is one part of setting a yard up.
type Part string

// The parts, in the order in which one rests on the other.
const (
	ThePlace   Part = "place"
	TheRules   Part = "rules"
	ThePeople  Part = "people"
	TheRigs    Part = "rigs"
	TheMeans   Part = "means" // zones, circuits and kits
	TheTaught  Part = "taught"
	TheRescue  Part = "rescue"
	TheIntakes Part = "intakes"
)

// Parts lists them in their order.
func Parts() []Part {
	return []Part{ThePlace, TheRules, ThePeople, TheRigs, TheMeans, TheTaught, TheRescue, TheIntakes}
}

// Missing is something without which nothing can be booked, or not everything.
type Missing struct {
	Part    Part
	Say     verdict.Text
	Cause   rig.CauseKind // of what the register of rigs says; "" for anything else
	Subject verdict.Ref   // what it is about; zero for the whole yard
	Line    string        // rule-book line of an inspection
	Field   verdict.Field // of a field nobody has confirmed
	Make    string        // kind of a record of which there is none yet
}

// StartList is how far the yard is set up.
type StartList struct {
	Missing []Missing
	// Asks are the questions whose answer tells whether a first booking can be
	// made: the exercises that each intake needs.
	Asks   []StartAsk
	Booked bool // a session is booked that is still to run
}

// StartAsk is an intake with trainees, and the exercises they need in teaching order.
type StartAsk struct {
	Intake    id.Intake
	Exercises []id.Exercise
}

// Of returns what is missing in one part.
func (l StartList) Of(p Part) []Missing {
	var out []Missing
	for _, m := range l.Missing {
		if m.Part == p {
			out = append(out, m)
		}
	}
	return out
}

// StartList tells what is missing before sessions can be booked: what the problem
// that the judge would be given lacks, and why its stations are shut.
func (f *Founder) StartList(ctx context.Context, actor access.Actor) (out StartList, err error) {
	if _, err := access.Require(actor, access.ChangeYard); err != nil {
		return out, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		ref, err := v.Reference()
		if err != nil {
			return err
		}
		l := lister{StartList: &out, ref: ref, day: v.Today()}
		slice, err := f.builder.Build(v, planning.Scope{From: l.day, Until: l.day})
		if fault.Of(err) == fault.NotFound {
			l.add(ThePlace, Missing{Say: verdict.Say("the yard: its name, place, time zone and hours"), Make: "yard"})
		} else if err != nil {
			return err
		}
		l.slice = slice
		l.rules()
		l.rigs()
		l.taught()
		l.people()
		if err := l.intakes(v); err != nil {
			return err
		}
		ahead, err := v.BookedAfter(v.Now())
		out.Booked = len(ahead) > 0
		return err
	})
	return out, err
}

// lister gathers what is missing. slice is nil before there is a yard.
type lister struct {
	*StartList
	ref   *store.Reference
	day   civil.Day
	slice *planning.Slice
}

func (l *lister) add(p Part, m Missing) {
	m.Part = p
	if !slices.ContainsFunc(l.Missing, func(x Missing) bool { return x.Part == p && fmt.Sprint(x.Say) == fmt.Sprint(m.Say) }) {
		l.Missing = append(l.Missing, m)
	}
}

func (l *lister) rules() {
	book, ok := rulebook.InForce(l.ref.RuleBooks.All(civil.LastDay), l.day)
	if !ok {
		l.add(TheRules, Missing{Say: verdict.Say("a rule book: choose its profiles")})
		return
	}
	for _, field := range book.Confirmed(nil, l.day) {
		l.add(TheRules, Missing{Say: verdict.Say("limits of ", planning.FieldName(field), " are not confirmed"), Field: field})
	}
}

// partOf says in which part a cause is mended.
func partOf(c rig.Cause) Part {
	switch c.Kind {
	case rig.NoRescuePlan, rig.RescuePlanLapsed, rig.RescuePlanWithdrawn, rig.DrillMissing, rig.DrillOverdue, rig.DrillFailed, rig.DrillSlow:
		return TheRescue
	}
	if c.Missing == rig.MissingReview {
		return TheRescue
	}
	if c.Subject.Kind == verdict.Kit {
		return TheMeans
	}
	return TheRigs
}

// rigs lists why each station may not be used today, by the register that the
// judge's problem is made of.
func (l *lister) rigs() {
	stations := l.ref.Stations.All(l.day)
	if l.ref.Rigs.Len() == 0 {
		l.add(TheRigs, Missing{Say: verdict.Say("a rig"), Make: "rig"})
	}
	if len(stations) == 0 {
		l.add(TheRigs, Missing{Say: verdict.Say("a station on a rig"), Make: "station"})
	}
	if l.slice == nil {
		return
	}
	for _, st := range stations {
		if st.Retired != 0 && st.Retired <= l.day {
			continue
		}
		for _, c := range l.slice.Register().Station(st.ID, l.day) {
			if c.Missing == rig.MissingRuleBook {
				continue // the rules say so
			}
			l.add(partOf(c), Missing{Say: c.Say(), Cause: c.Kind, Subject: c.Subject, Line: c.Line})
		}
	}
	for _, k := range l.ref.Kits.All(l.day) {
		for _, c := range l.slice.Register().Kit(k.ID, l.day) {
			if c.Missing != rig.MissingRuleBook && c.Kind != rig.Retired {
				l.add(TheMeans, Missing{Say: c.Say(), Cause: c.Kind, Subject: c.Subject, Line: c.Line})
			}
		}
	}
}

func (l *lister) taught() {
	if l.ref.Exercises.Len() == 0 {
		l.add(TheTaught, Missing{Say: verdict.Say("an exercise"), Make: "exercise"})
	}
	if l.ref.Programmes.Len() == 0 {
		l.add(TheTaught, Missing{Say: verdict.Say("a programme that leads to a certificate"), Make: "programme"})
	}
	if l.slice == nil {
		return
	}
	for i, e := range l.slice.Problem.Exercises {
		if c, ok := l.slice.Cause(verdict.Finding{At: fmt.Sprintf("/exercises/%d/stations", i)}); ok && l.isTaught(id.Exercise(e.ID)) {
			l.add(TheTaught, Missing{Say: c.Say, Subject: verdict.Ref{Kind: verdict.Exercise, ID: e.ID}})
		}
	}
}

func (l *lister) isTaught(e id.Exercise) bool {
	x, ok := l.ref.Exercises.On(e, l.day)
	return ok && x.On(l.day)
}

// people lists what no member of staff may do, as the problem has them.
func (l *lister) people() {
	if l.ref.Staff.Len() == 0 {
		l.add(ThePeople, Missing{Say: verdict.Say("a person who works here, with weekdays and limits on rest"), Make: "person"})
	}
	for _, field := range verdict.Fields() {
		if len(people.AppointedOn(l.ref.Appointments.All(l.day), field, l.day)) == 0 {
			l.add(ThePeople, Missing{Say: verdict.Say("nobody is appointed for ", planning.FieldName(field)), Field: field})
		}
	}
	if l.slice == nil {
		return
	}
	staff := l.slice.Problem.People
	for i := range staff {
		if c, ok := l.slice.Cause(verdict.Finding{At: fmt.Sprintf("/people/%d/available", i)}); ok {
			l.add(ThePeople, Missing{Say: c.Say, Subject: verdict.Ref{Kind: verdict.Person, ID: staff[i].ID}})
		}
	}
	for _, e := range l.ref.Exercises.All(l.day) {
		may := func(p plan.Person) bool {
			return slices.ContainsFunc(p.Teaches, func(t plan.Teaches) bool { return t.Exercise == string(e.ID) && t.Holds(l.day) })
		}
		if e.On(l.day) && !slices.ContainsFunc(staff, may) {
			who := verdict.Ref{Kind: verdict.Exercise, ID: string(e.ID)}
			l.add(ThePeople, Missing{Say: verdict.Say("nobody may teach ", who), Subject: who})
		}
	}
	l.cover(staff)
}

// cover says if some station asks for what nobody may do.
func (l *lister) cover(staff []plan.Person) {
	holds := func(list []plan.Validity) bool {
		return slices.ContainsFunc(list, func(v plan.Validity) bool { return v.Holds(l.day) })
	}
	for _, s := range l.slice.Problem.Stations {
		if s.Rescue != nil && s.Rescue.Rescuers > 0 && !slices.ContainsFunc(staff, func(p plan.Person) bool { return holds(p.Rescuer) }) {
			l.add(ThePeople, Missing{Say: verdict.Say("nobody has rescue competence, which stations ask for")})
		}
		if s.FirstAiders > 0 && !slices.ContainsFunc(staff, func(p plan.Person) bool { return holds(p.FirstAid) }) {
			l.add(ThePeople, Missing{Say: verdict.Say("nobody has first aid, which stations ask for")})
		}
	}
}

// intakes lists what is missing to have somebody to book for, and what they need.
func (l *lister) intakes(v *store.View) error {
	found := false
	for _, in := range l.ref.Intakes.All(l.day) {
		if in.Until < l.day {
			continue
		}
		found = true
		trainees, err := v.TraineesOfIntake(in.ID)
		if err != nil {
			return err
		}
		if len(trainees) == 0 {
			who := verdict.Ref{Kind: verdict.Intake, ID: string(in.ID)}
			l.add(TheIntakes, Missing{Say: verdict.Say(who, " has no trainees"), Subject: who})
			continue
		}
		ask := StartAsk{Intake: in.ID}
		for _, e := range l.ref.Exercises.All(l.day) {
			if l.isTaught(e.ID) && slices.Contains(trainees[0].Needs, e.ID) {
				ask.Exercises = append(ask.Exercises, e.ID)
			}
		}
		slices.SortStableFunc(ask.Exercises, l.firstTaught)
		l.Asks = append(l.Asks, ask)
	}
	if !found {
		l.add(TheIntakes, Missing{Say: verdict.Say("an intake that runs or is to come"), Make: "intake"})
	}
	return nil
}

// firstTaught puts those before others that come after nothing.
func (l *lister) firstTaught(a, b id.Exercise) int {
	waits := func(e id.Exercise) int {
		x, _ := l.ref.Exercises.On(e, l.day)
		return min(len(x.After), 1)
	}
	return waits(a) - waits(b)
}
