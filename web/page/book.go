package page

import (
	"rungbook/web"
	"rungbook/web/ui"
	"slices"
)

// BookChoices are the answers offered by the booking form and what was asked
// before. Nothing is chosen where no option is marked Chosen.
type BookChoices struct {
	Action    string // "/book"
	Hidden    []ui.Value
	Exercises []ui.Group  // by programme or rig
	Intakes   []ui.Option // the first asks to choose one
	Intake    string      // the intake whose trainees stand in Trainees
	Trainees  []ui.Option // of the chosen intake; empty before one is chosen
	Stations  []ui.Option // the first takes any
	Trials    []ui.Option // what it is for, the first is training; empty for a session that moves
	From      string      // "2027-03-01"
	Until     string
	Fixed     bool              // the trainees are those of a session that moves
	Errors    map[string]string // by field: exercise, intake, trainees, from, until, station
}

// NewBookAsk labels the booking form. The form is sent with "of", the intake
// whose trainees were shown: ticks of another intake's trainees count only
// while "of" is still the intake asked for.
func NewBookAsk(c BookChoices) BookAsk {
	ask := BookAsk{
		Fixed:     c.Fixed,
		Form:      ui.Form{Action: c.Action, Get: true, Hidden: c.Hidden, Swap: "book"},
		Exercise:  ui.Field{Name: "exercise", Label: "Exercise", Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose an exercise"}}, Error: c.Errors["exercise"]},
		Exercises: c.Exercises,
		Intake:    ui.Field{Name: "intake", Label: "Intake", Kind: ui.Select, Options: c.Intakes, Error: c.Errors["intake"]},
		From:      ui.Field{Name: "from", Label: "From", Kind: ui.Date, Value: c.From, Short: true, Error: c.Errors["from"]},
		Until:     ui.Field{Name: "until", Label: "Until", Kind: ui.Date, Value: c.Until, Short: true, Error: c.Errors["until"]},
		Station:   ui.Field{Name: "station", Label: "Station", Kind: ui.Select, Options: c.Stations, Error: c.Errors["station"]},
	}
	if len(c.Trials) > 0 {
		ask.Trial = &ui.Field{Name: "trial", Label: "What it is for", Kind: ui.Select, Options: c.Trials, Error: c.Errors["trial"],
			Hint: "A trial credits nobody with anything, and needs no trainees. Time worked in it counts for rest."}
	}
	fields := []ui.Field{ask.Exercise, ask.Intake}
	if len(c.Trainees) > 0 || c.Errors["trainees"] != "" {
		ask.Trainees = &ui.Field{Name: "trainee", Label: "Trainees", Kind: ui.Checkboxes, Options: c.Trainees, Error: c.Errors["trainees"], Hint: "All or part of the intake."}
		ask.Form.Hidden = append(ask.Form.Hidden, ui.Value{Name: "of", Value: c.Intake})
		fields = append(fields, *ask.Trainees)
	}
	ask.Form.Errors = ui.Errors(append(fields, ask.From, ask.Until, ask.Station))
	return ask
}

// traineesSay tells how many of the intake are ticked.
func (a BookAsk) traineesSay() string {
	n := 0
	for _, o := range a.Trainees.Options {
		if o.Chosen {
			n++
		}
	}
	if n == len(a.Trainees.Options) {
		return "All " + web.Count(n, "trainee", "trainees") + " of the intake"
	}
	return web.Count(n, "trainee", "trainees") + " of " + number(len(a.Trainees.Options))
}

// traineesOpen keeps the list in sight while it is being worked on.
func (a BookAsk) traineesOpen() bool {
	for _, o := range a.Trainees.Options {
		if !o.Chosen {
			return true
		}
	}
	return a.Trainees.Error != ""
}

func number(n int) string { return web.Number(int64(n)) }

// barred counts the trainees who may not take part yet.
func (a BookAnswer) barred() int {
	n := 0
	for _, b := range a.NotYet {
		n += len(b.Names)
	}
	return n
}

// late reports whether nothing else is against any of them than their last day.
func (a BookAnswer) late() bool {
	return !slices.ContainsFunc(a.NotYet, func(b BookBarred) bool { return !b.Late })
}

func barredSay(n int, late bool) string {
	if late {
		return web.Count(n, "trainee", "trainees") + " can’t do it before their last day"
	}
	return web.Count(n, "trainee may", "trainees may") + " not do it yet"
}

func alsoStopsSay(n int) string {
	return web.Count(n, "more thing stops it", "more things stop it")
}
