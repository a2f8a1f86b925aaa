package planning

import (
	"fmt"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// register gathers from the reference records all that decides whether a rig,
// station or kit may be used.
func register(ref *store.Reference, zone civil.Zone) *rig.Register {
	return rig.NewRegister(rig.Records{
		Zone: zone, Books: ref.RuleBooks.All(civil.LastDay),
		Rigs: standing(&ref.Rigs), Stations: standing(&ref.Stations), Kits: standing(&ref.Kits),
		Items: standing(&ref.Items), Quarantines: ref.Quarantines.All(civil.LastDay),
		Shuts: ref.Shuts.All(civil.LastDay), Inspections: ref.Inspections.All(civil.LastDay),
		RescuePlans: versions(&ref.RescuePlans), Drills: ref.Drills.All(civil.LastDay), Evidence: ref.Evidence.All(civil.LastDay),
		KitAt: kitAt(ref), Blows: blows(ref),
	})
}

// kitAt returns where each kit was ever used, by the exercises.
func kitAt(ref *store.Reference) map[id.Kit][]id.Station {
	out := map[id.Kit][]id.Station{}
	for _, e := range versions(&ref.Exercises) {
		for _, u := range e.Uses {
			out[u.Kit] = append(out[u.Kit], e.Stations...)
		}
	}
	return out
}

func standing[K ~string, T any](t *store.Table[K, T]) []rig.Standing[T] {
	var out []rig.Standing[T]
	for _, k := range t.Keys() {
		for _, v := range t.Versions(k) {
			out = append(out, rig.Standing[T]{From: v.From, Until: v.Until, Value: v.Value})
		}
	}
	return out
}

func versions[K ~string, T any](t *store.Table[K, T]) []T {
	var out []T
	for _, s := range standing(t) {
		out = append(out, s.Value)
	}
	return out
}

// stations builds each station with the periods in which it can't be used and
// their causes. unconfirmed shuts all of them for the whole horizon.
func (w *groundwork) stations(unconfirmed *Cause) {
	from, until := w.problem.From, w.problem.From+civil.Day(w.problem.Days)
	for _, st := range counting(w, &w.ref.Stations) {
		i := len(w.problem.Stations)
		out := plan.Station{
			ID: string(st.ID), Rig: string(st.Rig), Places: st.Places, Zones: texts(st.Zones), Height: st.Height,
			NeedsDaylight: st.NeedsDaylight, Turnaround: st.Turnaround, StaffMin: st.StaffMin,
		}
		// A station that does not state its cover is shut by its cause below.
		cover, _ := rig.CoverOf(st, w.practice(st.ID), w.books...)
		out.FirstAiders = cover.FirstAiders
		if r := st.Rescue; r != nil {
			out.Rescue = &plan.Rescue{Rescuers: cover.Rescuers, StandbyMin: r.StandbyMin, OwnInstructorsCount: r.OwnInstructorsCount, Kit: string(r.Kit)}
		}
		shut := func(p civil.Period, c Cause) {
			w.setCause(fmt.Sprintf("/stations/%d/shut/%d", i, len(out.Shut)), c)
			out.Shut = append(out.Shut, p)
		}
		if unconfirmed != nil {
			shut(w.reach, *unconfirmed)
		}
		for _, c := range w.register.Closed(st.ID, from, until) {
			plan, version := ownWord(c.Causes)
			shut(c.Period, Cause{Plan: plan, Version: version, Say: sayAll(c.Causes, rig.Cause.Say), Brief: sayAll(c.Causes, rig.Cause.Brief), Line: c.Causes[0].Line, Kind: c.Causes[0].Kind, End: c.Causes[0].End, Of: subjects(c.Causes), Dossier: dossierOf(c.Causes)})
		}
		w.problem.Stations = append(w.problem.Stations, out)
	}
}

// ownWord names the version of a rescue plan among the causes that is held to its own
// word.
func ownWord(causes []rig.Cause) (id.RescuePlan, int) {
	for _, c := range causes {
		if c.Version > 0 {
			return c.Plan, c.Version
		}
	}
	return "", 0
}

// dossierOf names the rig whose dossier is among the causes.
func dossierOf(causes []rig.Cause) id.Rig {
	for _, c := range causes {
		if c.Kind == rig.EvidenceMissing || c.Kind == rig.EvidenceLapsed || c.Kind == rig.EvidenceRevoked {
			return id.Rig(c.Subject.ID)
		}
	}
	return ""
}

// practice reports whether anything but theory is done on a station.
func (w *groundwork) practice(st id.Station) bool {
	return slices.ContainsFunc(counting(w, &w.ref.Exercises), func(e curriculum.Exercise) bool {
		return e.Setting != curriculum.Theory && slices.Contains(e.Stations, st)
	})
}

// sayAll joins several causes as say words them.
func sayAll(causes []rig.Cause, say func(rig.Cause) verdict.Text) verdict.Text {
	var out verdict.Text
	for i, c := range causes {
		if i > 0 {
			out = append(out, "; ")
		}
		out = append(out, say(c)...)
	}
	return out
}

// kits builds each kit with the times in which pieces of it are out of use.
func (w *groundwork) kits() {
	from, until := w.problem.From, w.problem.From+civil.Day(w.problem.Days)
	for _, k := range counting(w, &w.ref.Kits) {
		out := plan.Kit{ID: string(k.ID), Count: k.Count}
		for _, c := range w.register.KitOut(k.ID, from, until) {
			w.setCause(kitShut(len(w.problem.Kits), len(out.Shut)), kitOut(k.ID, k.Count, c))
			out.Shut = append(out.Shut, plan.KitShut{From: c.Start, To: c.End, Count: max(k.Count-c.Usable, 0)})
		}
		w.problem.Kits = append(w.problem.Kits, out)
	}
}

// RigOut returns why a rig may not be used at a moment, nil when it may.
func (s *Slice) RigOut(r id.Rig, at civil.Instant) verdict.Text {
	if causes := s.ground.register.RigAt(r, at); len(causes) > 0 {
		return sayAll(causes, rig.Cause.Say)
	}
	return nil
}

// Register answers whether rigs, stations and kits may be used on other days.
func (s *Slice) Register() *rig.Register { return s.ground.register }

// Book returns the rule book in force on the slice's first day; the zero value, which
// limits nothing and lets nothing be booked, where none is.
func (s *Slice) Book() rulebook.Version { return s.ground.book }

// Check is one recurring inspection that a rig or station needs, as it stands on
// the slice's first day.
type Check struct {
	LineID   string
	Interval string         // "6 months"; "" where the rule book in force lacks the line
	Last     rig.Inspection // the last one done; zero when none is recorded
	Due      *rig.Due       // its clock, nil when it has run out
	Cause    verdict.Text   // why it stops, nil when it does not
}

// RigChecks returns the inspections that a rig itself needs.
func (s *Slice) RigChecks(r rig.Rig) []Check {
	var due []rig.Due
	for _, st := range s.ref.Stations.All(s.day) {
		if st.Rig == r.ID {
			due = append(due, s.ground.register.Due(st.ID, s.day)...)
		}
	}
	out := s.checks(string(r.ID), r.Inspections, due, s.ground.register.Rig(r.ID, s.day))
	if storm, asked := s.stormCheck(r); asked {
		out = append(out, storm)
	}
	return out
}

// StationChecks returns the inspections that a station itself needs.
func (s *Slice) StationChecks(st rig.Station) []Check {
	g := s.ground.register
	return s.checks(string(st.ID), st.Inspections, g.Due(st.ID, s.day), g.Station(st.ID, s.day))
}

func (s *Slice) checks(subject string, lines []string, due []rig.Due, causes []rig.Cause) []Check {
	var out []Check
	for _, line := range lines {
		c := Check{LineID: line, Last: s.lastInspection(subject, line)}
		if l, ok := s.ground.book.Line(line); ok {
			c.Interval = l.ValueText()
		}
		if i := slices.IndexFunc(due, func(d rig.Due) bool { return d.Subject.ID == subject && rig.Asks(line, d.Line) }); i >= 0 {
			c.Due = &due[i]
		}
		for _, cause := range causes {
			if cause.Subject.ID == subject && rig.Asks(line, cause.Line) {
				c.Cause = cause.Say()
			}
		}
		out = append(out, c)
	}
	return out
}

// lastInspection returns the inspection done last, of two on one day the later
// recorded one.
func (s *Slice) lastInspection(subject, line string) rig.Inspection {
	var last rig.Inspection
	for _, i := range s.ref.Inspections.All(civil.LastDay) {
		if i.Subject == subject && i.Line == line && i.Done <= s.day && i.Done >= last.Done {
			last = i
		}
	}
	return last
}
