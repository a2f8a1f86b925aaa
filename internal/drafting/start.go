package drafting

import (
	"context"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/plan"
	"rungbook/internal/store"
)

// mostWaiting is how many drafts may wait to be searched.
const mostWaiting = 8

// Choices is what the form for a new draft offers.
type Choices struct {
	Today    civil.Day
	Intakes  []IntakeChoice // those that are not over, by first day
	Levels   []Level
	Searches []int // seconds
	Usual    Wish  // days of the first intake with something open, middle levels, 30 seconds
}

// IntakeChoice is an intake that can be planned.
type IntakeChoice struct {
	Intake      id.Intake
	Name        string
	From, Until civil.Day
	Trainees    []TraineeChoice
	Open        int // needs of all of them that are neither done nor booked
}

// TraineeChoice is one of an intake.
type TraineeChoice struct {
	Trainee id.Trainee
	Name    string
	Open    int
}

// Choices returns what can be planned.
func (d *Desk) Choices(ctx context.Context, actor access.Actor) (out Choices, err error) {
	if _, err := access.Require(actor, access.PlanIntake); err != nil {
		return Choices{}, err
	}
	err = d.store.Read(ctx, func(v *store.View) (err error) {
		out, err = choices(v)
		return err
	})
	return out, err
}

func choices(v *store.View) (Choices, error) {
	out := Choices{Today: v.Today(), Levels: Levels(), Searches: Searches(),
		Usual: Wish{From: v.Today(), Until: v.Today() + 13, Soon: Middle, FewDays: Middle, SpareStaff: Middle, Seconds: 30}}
	ref, err := v.Reference()
	if err != nil {
		return out, err
	}
	for _, in := range ref.Intakes.All(v.Today()) {
		if in.Until >= v.Today() {
			out.Intakes = append(out.Intakes, IntakeChoice{Intake: in.ID, Name: ref.Text(in.Name), From: in.From, Until: in.Until})
		}
	}
	slices.SortStableFunc(out.Intakes, func(a, b IntakeChoice) int { return int(a.From - b.From) })
	for i := range out.Intakes {
		if err := out.Intakes[i].count(v); err != nil {
			return out, err
		}
	}
	if i := slices.IndexFunc(out.Intakes, func(c IntakeChoice) bool { return c.Open > 0 }); i >= 0 {
		in := out.Intakes[i]
		out.Usual.Intakes = []id.Intake{in.Intake}
		out.Usual.From, out.Usual.Until = max(in.From, v.Today()), min(in.Until, max(in.From, v.Today())+MostDays-1)
	}
	return out, nil
}

// count fills in the trainees of an intake and what of theirs is open.
func (c *IntakeChoice) count(v *store.View) error {
	list, err := v.TraineesOfIntake(c.Intake)
	if err != nil {
		return err
	}
	ids := make([]id.Trainee, len(list))
	for i, t := range list {
		ids[i] = t.ID
	}
	type need struct {
		trainee  id.Trainee
		exercise id.Exercise
	}
	met := map[need]bool{}
	done, err := v.Completions(ids...)
	if err != nil {
		return err
	}
	for _, x := range done {
		met[need{x.Trainee, x.Exercise}] = true
	}
	booked, err := v.SessionsOfTrainees(ids)
	if err != nil {
		return err
	}
	for _, s := range booked {
		for _, t := range s.Trainees {
			if s.Serves(t, s.Exercise) {
				met[need{t, s.Exercise}] = true
			}
		}
	}
	names, err := v.TraineeNames(ids...)
	for _, t := range list {
		one := TraineeChoice{Trainee: t.ID, Name: names[t.ID]}
		for _, e := range t.Needs {
			if !met[need{t.ID, e}] {
				one.Open++
			}
		}
		c.Trainees, c.Open = append(c.Trainees, one), c.Open+one.Open
	}
	return err
}

// Start builds the problem of a wish and puts it in the queue. key is that of the
// form: sent twice it gives one draft. Errors: fault.Invalid with the field for a
// wish that can't be planned, fault.Conflict where too many drafts wait.
func (d *Desk) Start(ctx context.Context, actor access.Actor, w Wish, key string) (id.Draft, error) {
	return d.start(ctx, actor, key, ForIntake, w)
}

func (d *Desk) start(ctx context.Context, actor access.Actor, key string, kind Kind, w Wish) (made id.Draft, err error) {
	if _, err := access.Require(actor, access.PlanIntake); err != nil {
		return "", err
	}
	var row store.Draft
	var files store.DraftFiles
	err = d.store.Read(ctx, func(v *store.View) error {
		if made, err = v.DraftOfForm(key); made != "" || err != nil {
			return err
		}
		if err := room(v); err != nil {
			return err
		}
		if err := w.check(kind, v.Today()); err != nil {
			return err
		}
		trainees, err := membersOf(v, w)
		if err != nil {
			return err
		}
		if kind == ForIntake && len(trainees) == 0 {
			return fault.Field("intakes", "This intake has no trainees yet.")
		}
		t, err := newTask(d.builder, v, kind, w, trainees)
		if err != nil {
			return err
		}
		if err := t.worthwhile(); err != nil {
			return err
		}
		row, files, err = t.row(v, actor.Person, d.version)
		return err
	})
	if err != nil || made != "" {
		return made, err
	}
	made, err = d.store.AddDraft(ctx, key, row, files)
	d.wake()
	return made, err
}

// worthwhile refuses a draft that could change nothing.
func (t *task) worthwhile() error {
	switch {
	case t.kind == ForIntake && len(t.problem.Missing(t.problem.Fixed)) == 0:
		return fault.Field("intakes", "Nothing of theirs is open: all that they need is done or booked.")
	case t.kind == ForMend && len(t.hit) == 0:
		return fault.New(fault.Conflict, "Nothing that is booked in these days is hit: there is nothing to mend.")
	case t.kind == ForMend && len(t.old) == 0:
		return fault.New(fault.Conflict, "What is hit in these days has begun already: it can only be stood down or cut short.")
	}
	return nil
}

// room refuses a draft where too many wait.
func room(v *store.View) error {
	waiting, err := v.DraftsIn(string(Queued))
	if err == nil && len(waiting) >= mostWaiting {
		err = fault.New(fault.Conflict, "%d drafts wait already. Wait until one is done, or stop one.", len(waiting))
	}
	return err
}

// wake tells the runner that a draft waits.
func (d *Desk) wake() {
	select {
	case d.queued <- struct{}{}:
	default: // it is told already
	}
}

// membersOf returns the trainees that a wish is about, by id. Error: fault.Invalid
// for one that is not in the records.
func membersOf(v *store.View, w Wish) ([]id.Trainee, error) {
	var list []people.Trainee
	if len(w.Intakes) > 0 {
		of, err := v.TraineesOfIntake(w.Intakes...)
		if err != nil {
			return nil, err
		}
		list = of
	}
	picked, err := v.Trainees(w.Trainees...)
	if err != nil {
		return nil, err
	}
	for _, t := range w.Trainees {
		if !slices.ContainsFunc(picked, func(x people.Trainee) bool { return x.ID == t }) {
			return nil, fault.Field("trainees", "One of the trainees chosen is not in the records any more. Choose again.")
		}
	}
	var out []id.Trainee
	for _, t := range append(list, picked...) {
		out = append(out, t.ID)
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// row writes a task as a draft that waits.
func (t *task) row(v *store.View, by id.Person, version string) (row store.Draft, files store.DraftFiles, err error) {
	if files.Problem, err = plan.EncodeProblem(t.problem); err != nil {
		return row, files, err
	}
	row = store.Draft{Kind: string(t.kind), State: string(Queued), MadeAt: v.Now(), MadeBy: by, Entry: v.Head(),
		From: t.wish.From, Until: t.wish.Until, Seconds: t.wish.Seconds, Effort: -1, Seed: t.wish.Seed, Version: version,
		ProblemSHA: shaOf(files.Problem)}
	if len(t.old) > 0 {
		if files.From, err = plan.EncodePlan(&plan.Plan{Sessions: t.old}, t.problem.Zone); err != nil {
			return row, files, err
		}
		row.FromSHA = shaOf(files.From)
	}
	row.Wish, err = memo{Wish: t.wish, Last: t.last, Unplaced: t.problem.Weights.Unplaced, Base: t.base(), Never: t.contradictions()}.text()
	return row, files, err
}

// base is what every plan of the problem costs beside needs without a place: the
// fixed sessions, and the days before the first one asked for, which count for
// each intake that ends later.
func (t *task) base() int64 {
	p := t.problem
	cost := int64(p.Cost(p.Fixed, nil)) - p.Weights.Unplaced*int64(len(p.Missing(p.Fixed)))
	fixed, open := map[string]bool{}, map[string]bool{}
	for _, tr := range p.Trainees {
		if len(tr.Needs) > 0 {
			open[tr.Intake] = true
		}
		if slices.ContainsFunc(p.Fixed, func(s plan.Session) bool { return slices.Contains(s.Trainees, tr.ID) }) {
			fixed[tr.Intake] = true
		}
	}
	for in := range open {
		if !fixed[in] {
			cost += p.Weights.IntakeDay * int64(t.wish.From-p.From)
		}
	}
	return cost
}
