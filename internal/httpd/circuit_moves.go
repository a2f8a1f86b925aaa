package httpd

import (
	"cmp"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/circuits"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/verdict"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// circuitActions are what the reader may do now: the usual next step stands open,
// the rest is folded.
func (v *visit) circuitActions(p *page.Circuit, s sent, one circuits.Page) {
	here := "/circuits/" + string(one.Circuit.ID)
	form := func(path, title, note, button string, fields ...ui.Field) page.Action {
		a := v.action(s, path, title, note, here+"/"+path, button, fields...)
		rev := strconv.FormatInt(one.Rev, 10)
		if s.form == path && s.values.Get("rev") != "" {
			rev = s.values.Get("rev")
		}
		a.Form.Hidden = append(a.Form.Hidden, ui.Value{Name: "rev", Value: rev})
		return a
	}
	if access.May(v.actor, access.ChangeIsolation) {
		v.circuitNext(p, one, form)
	}
	if access.May(v.actor, access.ForceLock) && one.Isolation.Locked() {
		p.Actions = append(p.Actions, form("force", "Take off the lock of somebody who has left", "Only when they can’t be reached or can’t come back. You answer for it.", "Note that their lock is off",
			personField("person", "Whose lock", lockOwners(one.Isolation, v.actor.Person), one.Names, ""),
			tick("sure", "They were looked for, are clear of the circuit, and will be told before they come back")))
	}
	if access.May(v.actor, access.AuthoriseCircuit) {
		var staff []id.Person
		for _, x := range one.Ref.Staff.All(v.today) {
			if x.ID != v.actor.Person {
				staff = append(staff, x.ID)
			}
		}
		a := v.action(s, "authorise", "Authorise somebody", "They may then be in charge of this circuit’s isolation. Look at their training first.", here+"/authorise", "Authorise them",
			personField("person", "Who", staff, one.Names, ""),
			ui.Field{Name: "from", Label: "First day", Kind: ui.Date, Value: v.today.String(), Required: true, Short: true},
			ui.Field{Name: "until", Label: "Last day", Kind: ui.Date, Required: true, Short: true})
		p.Actions = append(p.Actions, a)
	}
	offered := func(a page.Action) bool { return a.Form.Action == here+"/"+s.form }
	if s.form != "" && !slices.ContainsFunc(p.Next, offered) && !slices.ContainsFunc(p.Actions, offered) {
		for _, text := range slices.Sorted(maps.Values(s.bad)) { // its form is gone: the state moved on
			p.Warn = append(p.Warn, ui.Notice{Level: verdict.Stops, Word: "Not done", Text: text})
		}
	}
	if len(p.Next) > 0 && s.form == "" && v.r.URL.Query().Get("do") == "" {
		p.Next[0].Open = true
	}
}

// circuitNext are the moves that its state allows, the usual one first.
func (v *visit) circuitNext(p *page.Circuit, one circuits.Page, form func(path, title, note, button string, fields ...ui.Field) page.Action) {
	i, charge := one.Isolation, authorisedIDs(one.Row, v.today)
	isolate := form("isolate", "Isolate it", "It is cut off now, and the lock of the person in charge is on.", "It is isolated",
		ui.Field{Name: "permit", Label: "Number of the permit", Required: true, Short: true}, personField("in_charge", "Person in charge", charge, one.Names, v.actor.Person))
	live := form("live", "Make it live", "You answer for it. Every lock is off, and the supply is on now.", "It is live",
		tick("clear", "Everybody is clear and told; tools and earths are away"))
	test := form("test", "Test that it is dead", "By somebody authorised whose lock is on. It was done now.", "It is tested dead",
		personField("by", "Who tested", lockOwners(i, ""), one.Names, v.actor.Person), ui.Field{Name: "instrument", Label: "Instrument", Required: true, Hint: "Its name or number."},
		tick("proved_before", "The instrument was proved on a known source before"), tick("proved_after", "It was proved again after"), tick("stored_released", "Stored energy is released"))
	var free []id.Person
	for _, x := range one.Lockers {
		if !i.LockedBy(x) {
			free = append(free, x)
		}
	}
	lock := form("lock", "Put a lock on", "Each person who works on it puts on a lock of their own and keeps its key.", "Their lock is on",
		personField("person", "Whose lock", free, one.Names, v.actor.Person))
	var others []id.Person
	for _, x := range charge {
		if x != i.InCharge && i.LockedBy(x) {
			others = append(others, x)
		}
	}
	switch i.State {
	case rig.EnergyLive:
		p.Next = append(p.Next, isolate)
	case rig.EnergyIsolated:
		p.Next = append(p.Next, test, lock)
	case rig.EnergyDead:
		p.Next = append(p.Next, lock)
	case rig.EnergyLocksOff:
		p.Next = append(p.Next, live, isolate)
	default:
		p.Next = append(p.Next, isolate, live)
	}
	if i.Locked() && len(others) > 0 {
		p.Next = append(p.Next, form("handover", "Hand it over", "The next person in charge is authorised, and their lock is on.", "They are in charge",
			personField("to", "To", others, one.Names, "")))
	}
	if i.State == rig.EnergyLive || i.State == rig.EnergyDead || i.State == rig.EnergyLocksOff {
		p.Next = append(p.Next, form("doubt", "Not sure any more", "A test is lost, and what is not locked is not known. Sessions that need it stop.", "It is in doubt"))
	}
}

// lockOwners are those whose locks are on, without one of them.
func lockOwners(i rig.Isolation, but id.Person) []id.Person {
	var out []id.Person
	for _, l := range i.On() {
		if l.Person != but {
			out = append(out, l.Person)
		}
	}
	return out
}

func personField(name, label string, list []id.Person, names map[id.Person]string, chosen id.Person) ui.Field {
	f := ui.Field{Name: name, Label: label, Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose"}}}
	list = slices.Clone(list)
	slices.SortFunc(list, func(a, b id.Person) int { return cmp.Or(cmp.Compare(names[a], names[b]), cmp.Compare(a, b)) })
	for _, p := range list {
		f.Options = append(f.Options, ui.Option{Value: string(p), Label: orID(names[p], p), Chosen: p == chosen})
		if p == chosen {
			f.Value = string(p)
		}
	}
	return f
}

// tick is one box to be ticked, with what it says.
func tick(name, says string) ui.Field {
	return ui.Field{Name: name, Label: "Confirm", Kind: ui.Checkboxes, Options: []ui.Option{{Value: "yes", Label: says}}}
}

func isolateCircuit(v *visit) error {
	return v.circuitMove("isolate", "Isolated. Test it before anybody works on it.", func(f url.Values, of id.Circuit, send circuits.Send) error {
		return v.Circuits.Isolate(v.r.Context(), v.actor, of, f.Get("permit"), id.Person(f.Get("in_charge")), send)
	})
}

func lockCircuit(v *visit) error {
	return v.circuitMove("lock", "The lock is on.", func(f url.Values, of id.Circuit, send circuits.Send) error {
		return v.Circuits.LockOn(v.r.Context(), v.actor, of, id.Person(f.Get("person")), send)
	})
}

func testCircuit(v *visit) error {
	return v.circuitMove("test", "Tested dead.", func(f url.Values, of id.Circuit, send circuits.Send) error {
		return v.Circuits.TestDead(v.r.Context(), v.actor, of, circuits.Test{By: id.Person(f.Get("by")), Instrument: f.Get("instrument"),
			ProvedBefore: f.Get("proved_before") == "yes", ProvedAfter: f.Get("proved_after") == "yes", StoredReleased: f.Get("stored_released") == "yes"}, send)
	})
}

func unlockCircuit(v *visit) error {
	return v.circuitMove("unlock", "The lock is off.", func(f url.Values, of id.Circuit, send circuits.Send) error {
		err := v.Circuits.LockOff(v.r.Context(), v.actor, of, id.Person(f.Get("person")), send)
		if fields, ok := formErrors(err); ok { // its button has no field to say it at
			return fault.New(fault.Conflict, "%s", fields["person"])
		}
		return err
	})
}

func forceLock(v *visit) error {
	return v.circuitMove("force", "The lock is off.", func(f url.Values, of id.Circuit, send circuits.Send) error {
		return v.Circuits.ForceLock(v.r.Context(), v.actor, of, id.Person(f.Get("person")), f.Get("sure") == "yes", send)
	})
}

func handCircuitOver(v *visit) error {
	return v.circuitMove("handover", "Handed over.", func(f url.Values, of id.Circuit, send circuits.Send) error {
		return v.Circuits.Handover(v.r.Context(), v.actor, of, id.Person(f.Get("to")), send)
	})
}

func energiseCircuit(v *visit) error {
	return v.circuitMove("live", "Live.", func(f url.Values, of id.Circuit, send circuits.Send) error {
		return v.Circuits.Energise(v.r.Context(), v.actor, of, f.Get("clear") == "yes", send)
	})
}

func doubtCircuit(v *visit) error {
	return v.circuitMove("doubt", "Noted. Take it for live.", func(_ url.Values, of id.Circuit, send circuits.Send) error {
		return v.Circuits.Doubt(v.r.Context(), v.actor, of, send)
	})
}

func authoriseForCircuit(v *visit) error {
	return v.circuitMove("authorise", "Authorised.", func(f url.Values, of id.Circuit, _ circuits.Send) error {
		bad := fault.Fields{}
		g := circuits.Granting{Person: id.Person(f.Get("person")), From: dayField(f, "from", bad), Until: dayField(f, "until", bad)}
		if err := bad.Err(); err != nil {
			return err
		}
		return v.Circuits.Authorise(v.r.Context(), v.actor, of, g, v.key())
	})
}

func takeAuthorityBack(v *visit) error {
	if _, err := v.form(); err != nil {
		return err
	}
	of, err := v.Circuits.TakeBack(v.r.Context(), v.actor, id.Authority(v.param("authority")), v.key())
	if err != nil {
		return err
	}
	return v.goTo("/circuits/"+string(of), "Taken back.")
}

// circuitMove runs one form of a circuit's page.
func (v *visit) circuitMove(form, done string, do func(url.Values, id.Circuit, circuits.Send) error) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Circuit(v.param("circuit"))
	err = do(f, of, circuits.Send{Key: v.key(), Rev: numberField(f, "rev")})
	if fields, ok := formErrors(err); ok {
		return v.circuitSheet(http.StatusUnprocessableEntity, sent{form, f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo("/circuits/"+string(of), done)
}
