package booking

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/plan"
	"rungbook/internal/plan/solve"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Ask is the question "when and where can this group do this exercise".
type Ask struct {
	Exercise id.Exercise
	Intake   id.Intake    // the group is of this intake
	Trainees []id.Trainee // part of it, or picked trainees; empty = all of the intake
	From     civil.Day    // preferred days, both counted
	Until    civil.Day
	Station  id.Station    // "" = any that fits
	At       civil.Instant // a start somebody pointed at, 0 = none
	Move     id.Session    // the session that is to move, "" = a new one
	Trial    session.Trial // of a new session that credits nobody; it may have no trainees
}

// MaxDays is the longest span of preferred days that one question may cover.
const MaxDays = 28

// Member is one trainee of the group: who takes part, or why not yet.
type Member struct {
	Trainee id.Trainee
	Name    string
	In      bool              // takes part in the offers
	Why     []verdict.Finding // why they may not do the exercise in these days; empty for In and for those left for another group
}

// Offer is a free time.
type Offer struct {
	solve.Offer
	Report verdict.Report // cautions only
}

// Refusal is a time that is not possible, worded, with the nearest change.
type Refusal struct {
	Session plan.Session
	Report  verdict.Report
	Nearest *verdict.Nearest
}

// Options is the answer to an Ask.
type Options struct {
	Ask     Ask
	Seen    int64 // last entry the answer rests on
	Group   []Member
	Offers  []Offer
	Refused []Refusal
	AtOnce  int // most trainees one session takes; the group was cut to it
	// Cut is the day on which another version of the exercise begins: the answer
	// ends before it, and is to be asked for again from then on. 0 = none.
	Cut   civil.Day
	Slice *planning.Slice
}

const (
	offersShown   = 12
	refusalsShown = 12
)

// Options finds free times, best first: fewest trainee days, least idle, staff
// load, then time; and beside them what is not possible and why.
func (d *Desk) Options(ctx context.Context, actor access.Actor, ask Ask) (Options, error) {
	if _, err := access.Require(actor, access.SeeOptions); err != nil {
		return Options{}, err
	}
	var out Options
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = d.options(v, ask)
		return err
	})
	return out, err
}

func (d *Desk) options(v *store.View, ask Ask) (Options, error) {
	ask, err := d.complete(v, ask)
	if err != nil {
		return Options{}, err
	}
	cut, err := cutAtVersion(v, &ask)
	if err != nil {
		return Options{}, err
	}
	scope := planning.Scope{From: ask.From, Until: ask.Until, Day: ask.From, Trainees: ask.Trainees}
	as := session.Session{ID: newSession, Exercise: ask.Exercise, Trainees: ask.Trainees, Trial: ask.Trial != ""}
	if ask.Move != "" {
		row, err := v.Session(ask.Move)
		if err != nil {
			return Options{}, err
		}
		as.ID, as.Trial = row.Value.ID, row.Value.Trial
		was := v.Zone().DayOf(row.Value.Start)
		scope.From, scope.Until = min(scope.From, was), max(scope.Until, was)
	}
	s, err := d.builder.Build(v, scope)
	if err != nil {
		return Options{}, err
	}
	out := Options{Ask: ask, Seen: v.Head(), Slice: s, Cut: cut}
	if as.Trial {
		s.AdmitTrial(as)
		out.Ask.Exercise = id.Exercise(planning.AsPlan(as).Exercise)
	}
	group, err := out.chooseGroup(out.Ask)
	if err != nil {
		return Options{}, err
	}
	if len(group) > 0 || as.Trial {
		out.search(v, group)
	}
	out.nameTruly()
	return out, nil
}

// nameTruly gives what is shown the exercise that a trial is of.
func (o *Options) nameTruly() {
	o.Ask.Exercise = planning.Stood(string(o.Ask.Exercise))
	for i := range o.Offers {
		o.Offers[i].Session.Exercise = string(planning.Stood(o.Offers[i].Session.Exercise))
	}
	for i := range o.Refused {
		o.Refused[i].Session.Exercise = string(planning.Stood(o.Refused[i].Session.Exercise))
	}
}

// cutAtVersion ends the days asked for before another version of the exercise
// begins, because a session is judged by the version of its day.
func cutAtVersion(v *store.View, ask *Ask) (civil.Day, error) {
	ref, err := v.Reference()
	if err != nil {
		return 0, err
	}
	for _, version := range ref.Exercises.Versions(ask.Exercise) {
		if ask.From < version.From && version.From <= ask.Until {
			ask.Until = version.From - 1
			return version.From, nil
		}
	}
	return 0, nil
}

// complete fills in what the question left open and refuses what can't be asked.
func (d *Desk) complete(v *store.View, ask Ask) (Ask, error) {
	today := v.Today()
	if ask.From == 0 {
		ask.From = today
	}
	ask.From = max(ask.From, today)
	if ask.Until == 0 {
		ask.Until = ask.From + 13
		if ref, err := v.Reference(); err != nil {
			return ask, err
		} else if in, ok := ref.Intakes.On(ask.Intake, today); ok && ask.From <= in.Until {
			ask.From = max(ask.From, in.From)
			ask.Until = min(ask.From+13, in.Until)
		}
	}
	switch {
	case ask.Trial != "" && !slices.Contains(session.Trials(), ask.Trial):
		return ask, fault.Field("trial", "Say what the trial is for: a drill, or a mock for an audit.")
	case ask.Exercise == "":
		return ask, fault.Field("exercise", "Choose an exercise.")
	case ask.Until < ask.From:
		return ask, fault.Field("until", "The last day lies before the first. Give a later last day.")
	case ask.Until-ask.From >= MaxDays:
		return ask, fault.Field("until", "At most %d days can be searched at once. Give an earlier last day.", MaxDays)
	}
	if len(ask.Trainees) > 0 || ask.Trial != "" && ask.Intake == "" {
		return ask, nil
	}
	if ask.Intake == "" {
		return ask, fault.Field("intake", "Choose an intake or trainees.")
	}
	list, err := v.TraineesOfIntake(ask.Intake)
	if err != nil {
		return ask, err
	}
	for _, t := range list {
		ask.Trainees = append(ask.Trainees, t.ID)
	}
	if len(ask.Trainees) == 0 {
		return ask, fault.Field("intake", "This intake has no trainees yet.")
	}
	return ask, nil
}

// chooseGroup sorts the trainees into those who may do the exercise on some day
// asked for and those who may not yet, and cuts the former to what one session
// takes.
func (o *Options) chooseGroup(ask Ask) ([]string, error) {
	i := slices.IndexFunc(o.Slice.Problem.Exercises, func(e plan.Exercise) bool { return e.ID == string(ask.Exercise) })
	if i < 0 {
		return nil, fault.Field("exercise", "There is no such exercise on that day. Choose one from the list.")
	}
	exercise := o.Slice.Problem.Exercises[i]
	o.AtOnce = atOnce(o.Slice.Problem, exercise, ask.Station)
	for _, t := range ask.Trainees {
		if _, ok := o.Slice.Trainee(t); !ok {
			return nil, fault.Field("trainees", "One of the trainees chosen is not in the records any more. Choose the group again.")
		}
	}
	barred := o.barred(ask.Trainees, exercise)
	var group []string
	for _, t := range ask.Trainees {
		m := Member{Trainee: t, Name: o.Slice.Name(verdict.Ref{Kind: verdict.Trainee, ID: string(t)}), Why: barred[t]}
		if len(m.Why) == 0 && len(group) < o.AtOnce {
			m.In = true
			group = append(group, string(t))
		}
		o.Group = append(o.Group, m)
	}
	slices.Sort(group)
	return group, nil
}

// atOnce returns the most trainees that one session of the exercise can take.
func atOnce(p *plan.Problem, e plan.Exercise, station id.Station) int {
	most := 0
	for _, s := range p.Stations {
		if slices.Contains(e.Stations, s.ID) && (station == "" || s.ID == string(station)) {
			most = max(most, s.Places)
		}
	}
	if e.GroupMax > 0 {
		most = min(most, e.GroupMax)
	}
	return most
}

// ownRules are those that can bar one trainee from an exercise whatever the
// time of day, the station and the others.
var ownRules = []string{"needed-once", "entitled", "order", "deadline"}

// barred returns, of the trainees who may not do the exercise on any of the days
// asked for, why: as the judge words it on the day that has least against it. Who
// does not need it at all is told only that.
func (o *Options) barred(trainees []id.Trainee, e plan.Exercise) map[id.Trainee][]verdict.Finding {
	least := map[id.Trainee][]verdict.Finding{}
	open := slices.Clone(trainees) // not settled yet
	for day := o.Ask.From; day <= o.Ask.Until && len(open) > 0; day++ {
		against := o.against(open, e, day)
		open = slices.DeleteFunc(open, func(t id.Trainee) bool {
			why := against[t]
			if len(why) == 0 {
				delete(least, t)
				return true
			}
			if i := slices.IndexFunc(why, func(f verdict.Finding) bool { return f.Rule == "needed-once" }); i >= 0 {
				least[t] = why[i : i+1]
				return true
			}
			if before, judged := least[t]; !judged || len(why) < len(before) {
				least[t] = why
			}
			return false
		})
	}
	return least
}

// against judges trainees in one session at the end of a day, and keeps what is
// said of each whatever the time, the station and the others.
func (o *Options) against(trainees []id.Trainee, e plan.Exercise, day civil.Day) map[id.Trainee][]verdict.Finding {
	end := o.Slice.Problem.Zone.StartOfDay(day + 1)
	put := plan.Session{ID: newSession, Exercise: e.ID, Station: o.Slice.Problem.Stations[0].ID, Start: end.Add(-e.Minutes), End: end, Trainees: textsOf(trainees)}
	if len(e.Stations) > 0 {
		put.Station = e.Stations[0]
	}
	why := map[id.Trainee][]verdict.Finding{}
	for _, f := range o.Slice.Judge(o.removed(), []plan.Session{put}).At(verdict.Stops) {
		if slices.Contains(ownRules, f.Rule) && slices.Contains(put.Trainees, f.Who.ID) {
			why[id.Trainee(f.Who.ID)] = append(why[id.Trainee(f.Who.ID)], f)
		}
	}
	return why
}

func (o *Options) removed() []string {
	if o.Ask.Move == "" {
		return nil
	}
	return []string{string(o.Ask.Move)}
}

// search asks the insertion search and has every answer judged: an offer that
// the judge stops is not shown.
func (o *Options) search(v *store.View, group []string) {
	ask := solve.Ask{
		Exercise: string(o.Ask.Exercise), Trainees: group, Days: days(o.Ask.From, o.Ask.Until),
		NotBefore: v.Now(), Remove: o.removed(), Most: offersShown + refusalsShown,
	}
	if o.Ask.Station != "" {
		ask.Stations = []string{string(o.Ask.Station)}
	}
	offers, refused := o.Slice.Search().Insertions(ask)
	for _, offer := range offers {
		if len(o.Offers) == offersShown {
			break
		}
		report := o.Slice.Change(o.removed(), []plan.Session{offer.Session})
		if report.Level() != verdict.Stops {
			o.Offers = append(o.Offers, Offer{offer, report})
		}
	}
	if o.Ask.At != 0 {
		refused = slices.Insert(refused, 0, o.pointedAt(group, refused)...)
	}
	for _, r := range refused {
		report := o.Slice.Change(o.removed(), []plan.Session{r.Session})
		if report.Level() != verdict.Stops || len(o.Refused) == refusalsShown {
			continue
		}
		o.Refused = append(o.Refused, Refusal{r.Session, report, o.nearest(r.Session, report)})
	}
}

func days(from, until civil.Day) []civil.Day {
	var out []civil.Day
	for d := from; d <= until; d++ {
		out = append(out, d)
	}
	return out
}

// pointedAt returns the time somebody pointed at, if it is not among the offers,
// with the people that the search would take on that day.
func (o *Options) pointedAt(group []string, refused []solve.Refusal) []solve.Refusal {
	for _, offer := range o.Offers {
		if offer.Session.Start == o.Ask.At {
			return nil
		}
	}
	zone := o.Slice.Problem.Zone
	for _, r := range refused {
		if zone.DayOf(r.Session.Start) == zone.DayOf(o.Ask.At) {
			s := r.Session
			s.Start, s.End = o.Ask.At, o.Ask.At.Add(s.End.Sub(s.Start))
			s.Trainees = group
			return []solve.Refusal{{Session: s}}
		}
	}
	return nil
}
