package httpd

import (
	"fmt"
	"net/http"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/circuits"
	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/verdict"
	"rungbook/internal/yardday"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// circuitRoutes are the isolation of circuits, and who may be in charge of one.
func circuitRoutes() []route {
	return []route{
		{get, "/circuits", access.SeeCircuits, circuitsPage},
		{get, "/circuits/{circuit}", access.SeeCircuits, circuitPage},
		{get, "/circuits/{circuit}/permit", access.SeeCircuits, permitPage},
		{post, "/circuits/{circuit}/isolate", access.ChangeIsolation, isolateCircuit},
		{post, "/circuits/{circuit}/lock", access.ChangeIsolation, lockCircuit},
		{post, "/circuits/{circuit}/test", access.ChangeIsolation, testCircuit},
		{post, "/circuits/{circuit}/unlock", access.ChangeIsolation, unlockCircuit},
		{post, "/circuits/{circuit}/handover", access.ChangeIsolation, handCircuitOver},
		{post, "/circuits/{circuit}/live", access.ChangeIsolation, energiseCircuit},
		{post, "/circuits/{circuit}/doubt", access.ChangeIsolation, doubtCircuit},
		{post, "/circuits/{circuit}/force", access.ForceLock, forceLock},
		{post, "/circuits/{circuit}/authorise", access.AuthoriseCircuit, authoriseForCircuit},
		{post, "/authorities/{authority}/take-back", access.AuthoriseCircuit, takeAuthorityBack},
	}
}

func circuitsPage(v *visit) error {
	list, err := v.Circuits.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.ref = list.Ref
	p := page.Circuits{Shell: v.page("Circuits", "yard")}
	locked := 0
	for _, r := range list.Rows {
		level, state := circuitState(r.Isolation)
		row := page.CircuitRow{Name: v.circuitLink(r.Circuit.ID), Level: level, State: state + v.sinceOf(r.Isolation), Locks: "no lock on", Needs: v.circuitNeeds(r)}
		if on := r.Isolation.On(); len(on) > 0 {
			locked++
			row.InCharge, row.Locks = list.Names[r.Isolation.InCharge], web.Count(len(on), "lock on", "locks on")
		}
		row.Who = strings.Join(authorisedToday(r, list.Names, list.Today), ", ")
		if row.Who == "" {
			row.Who = "nobody"
		}
		p.Rows = append(p.Rows, row)
	}
	p.Finding = web.Count(len(list.Rows), "circuit", "circuits") + ", " + web.Number(int64(locked)) + " of them with a lock on."
	p.Shell.TakeOut, p.Shell.AlsoOut = v.takeOut("isolations"), []ui.TakeOut{v.alsoOut("authorities")}
	return v.show(http.StatusOK, page.CircuitsPage(p))
}

func (v *visit) circuitLink(c id.Circuit) ui.Link {
	rec, _ := v.ref.Circuits.On(c, v.today)
	return ui.Link{Text: orID(v.ref.Text(rec.Name), c), Href: "/circuits/" + string(c)}
}

// circuitsLink leads to the circuits, where the yard has any.
func (v *visit) circuitsLink() ui.Link {
	if len(v.ref.Circuits.All(v.today)) == 0 {
		return ui.Link{}
	}
	return ui.Link{Text: "Circuits", Href: "/circuits"}
}

// circuitState is a circuit's state in words, and how much it gives pause.
func circuitState(i rig.Isolation) (verdict.Level, string) {
	switch {
	case i.Dead():
		return verdict.Clear, "tested dead"
	case i.Live():
		return verdict.Clear, "live"
	case i.State == rig.EnergyIsolated:
		return verdict.Cautions, "isolated, not tested"
	case i.State == rig.EnergyLocksOff:
		return verdict.Cautions, "cut off, no lock on"
	}
	return verdict.Stops, "not recorded"
}

func (v *visit) sinceOf(i rig.Isolation) string {
	if i.Since == 0 {
		return ""
	}
	return " since " + v.words.Moment(i.Since)
}

func (v *visit) circuitNeeds(r circuits.Row) string {
	var out []string
	for _, n := range r.Needs {
		out = append(out, v.words.Clock(n.Session.Start)+" "+n.State)
	}
	if len(out) == 0 {
		return "not today"
	}
	return strings.Join(out, ", ")
}

func authorisedToday(r circuits.Row, names map[id.Person]string, today civil.Day) []string {
	var out []string
	for _, p := range authorisedIDs(r, today) {
		out = append(out, names[p])
	}
	slices.Sort(out)
	return out
}

func authorisedIDs(r circuits.Row, today civil.Day) []id.Person {
	out := slices.Clone(r.Appointed)
	for _, a := range r.Authorised {
		if a.On(today) && !slices.Contains(out, a.Person) {
			out = append(out, a.Person)
		}
	}
	return out
}

func circuitPage(v *visit) error { return v.circuitSheet(http.StatusOK, sent{}) }

func (v *visit) circuitSheet(status int, s sent) error {
	one, err := v.Circuits.One(v.r.Context(), v.actor, id.Circuit(v.param("circuit")))
	if err != nil {
		return err
	}
	v.ref = one.Ref
	name := v.circuitLink(one.Circuit.ID)
	p := page.Circuit{Shell: v.page(name.Text, "yard"), Name: name.Text, State: v.circuitNotice(one.Row), Facts: v.isolationFacts(one),
		Sheet: ui.Link{Text: "Permit sheet", Href: name.Href + "/permit"}}
	if n, runs := one.UnderWay("live"); runs && !one.Isolation.Live() {
		p.Warn = append(p.Warn, ui.Notice{Level: verdict.Stops, Text: v.sessionLink(n.Session).Text + " is under way and needs it live.", Link: ui.Link{Text: "Open the session", Href: "/yard/sessions/" + string(n.Session.ID)}})
	}
	if n, runs := one.UnderWay("dead"); runs && !one.Isolation.Dead() {
		p.Warn = append(p.Warn, ui.Notice{Level: verdict.Stops, Text: v.sessionLink(n.Session).Text + " is under way and needs it dead.", Link: ui.Link{Text: "Open the session", Href: "/yard/sessions/" + string(n.Session.ID)}})
	}
	p.Locks = v.circuitLocks(one)
	for _, n := range one.Needs {
		p.Needs = append(p.Needs, page.YardSession{Times: v.words.Times(civil.Period{Start: n.Session.Start, End: n.Session.End}), Exercise: v.sessionLink(n.Session),
			Station: v.stationName(n.Session.Station), People: "needs it " + n.State, State: v.stateNow(n.Session)})
	}
	p.Who = v.circuitPeople(one)
	for n := len(one.History) - 1; n >= 0; n-- {
		h := one.History[n]
		step := page.CertificateStep{When: v.words.Moment(h.RecordedAt), What: spaced(h.Act), By: "by " + orID(one.Names[h.Actor], h.Actor)}
		if on := lockNames(h.Value, one.Names); len(on) > 0 {
			step.Changed = "locks on: " + strings.Join(on, ", ")
		}
		p.Steps = append(p.Steps, step)
	}
	v.circuitActions(&p, s, one)
	return v.show(status, page.CircuitPage(p))
}

func lockNames(i rig.Isolation, names map[id.Person]string) []string {
	var out []string
	for _, l := range i.On() {
		out = append(out, orID(names[l.Person], l.Person))
	}
	return out
}

// circuitNotice is the state in a box: what it means for whoever stands there.
func (v *visit) circuitNotice(r circuits.Row) ui.Notice {
	i := r.Isolation
	since := v.sinceOf(i)
	switch {
	case i.Dead():
		return ui.Notice{Plain: true, Word: "Tested dead", Text: "Tested dead" + since + ", " + web.Count(len(i.On()), "lock on", "locks on") + "."}
	case i.Live():
		return ui.Notice{Level: verdict.Cautions, Word: "Live", Text: "It is live" + since + "."}
	case i.State == rig.EnergyIsolated:
		return ui.Notice{Level: verdict.Stops, Word: "Not tested", Text: "Isolated" + since + " and not tested. Take it for live."}
	case i.State == rig.EnergyLocksOff:
		return ui.Notice{Level: verdict.Stops, Word: "No lock on", Text: "Cut off, and the last lock came off" + strings.Replace(since, " since", "", 1) + ". Anybody may switch it on. Take it for live."}
	}
	return ui.Notice{Level: verdict.Stops, Word: "Not known", Text: "Its state is not recorded" + since + ". Take it for live. No session that needs it live or dead starts."}
}

func (v *visit) isolationFacts(one circuits.Page) []ui.Fact {
	i := one.Isolation
	out := []ui.Fact{fact("Changeover", one.Circuit.Changeover.String())}
	if i.Permit != "" {
		out = append(out, fact("Permit", orID(one.Texts[i.Permit], "erased")), fact("In charge", one.Names[i.InCharge]))
	}
	if t := i.Test; t != nil {
		out = append(out, fact("Tested", v.words.Moment(t.At)+" by "+one.Names[t.By]), fact("Instrument", orID(one.Texts[t.Instrument], "erased")+", proved before and after"), fact("Stored energy", "released"))
	}
	if i.State == rig.EnergyDead || i.State == rig.EnergyLive {
		if ready := i.Since.Add(one.Circuit.Changeover); v.now < ready {
			out = append(out, fact("Changes over", "until "+v.words.Clock(ready)))
		}
	}
	return out
}

func (v *visit) circuitLocks(one circuits.Page) []page.CircuitLock {
	var out []page.CircuitLock
	for _, l := range one.Isolation.Locks {
		row := page.CircuitLock{Who: orID(one.Names[l.Person], l.Person), On: v.words.Moment(l.On)}
		if l.Person == one.Isolation.InCharge {
			row.Who += ", in charge"
		}
		switch {
		case l.Off != 0 && l.Absent:
			row.Off = v.words.Moment(l.Off) + " by " + one.Names[l.OffBy] + ", the owner having left"
		case l.Off != 0:
			row.Off = v.words.Moment(l.Off)
		case l.Person == one.Isolation.InCharge && len(one.Isolation.On()) > 1:
			row.On += "; it comes off last"
		case access.May(v.actor, access.ChangeIsolation) && (v.actor.Person == l.Person || v.actor.Person == one.Isolation.InCharge):
			button := "Taken off, seen by me"
			if v.actor.Person == l.Person {
				button = "Take my lock off"
			}
			row.Take = &ui.Form{Action: "/circuits/" + string(one.Circuit.ID) + "/unlock", Key: v.freshKey(), Button: button, Unseen: "of " + row.Who,
				Hidden: []ui.Value{{Name: "person", Value: string(l.Person)}, {Name: "rev", Value: fmt.Sprint(one.Rev)}}}
		}
		out = append(out, row)
	}
	return out
}

func (v *visit) circuitPeople(one circuits.Page) []page.CircuitPerson {
	var out []page.CircuitPerson
	for _, p := range one.Appointed {
		out = append(out, page.CircuitPerson{Name: one.Names[p], Days: "responsible for energy: every circuit"})
	}
	for _, a := range one.Authorised {
		row := page.CircuitPerson{Name: one.Names[a.Person], Days: v.words.Day(a.From) + " to " + v.words.Day(a.Until), By: "by " + one.Names[a.By]}
		switch {
		case a.Ended:
			row.Days += ", taken back"
		case a.Until < v.today:
			row.Days += ", over"
		case access.May(v.actor, access.AuthoriseCircuit):
			row.Back = &ui.Form{Action: "/authorities/" + string(a.ID) + "/take-back", Key: v.freshKey(), Button: "Take it back", Unseen: "from " + row.Name, Grave: true}
		}
		out = append(out, row)
	}
	return out
}

// permitPage is the isolation on paper.
func permitPage(v *visit) error {
	one, err := v.Circuits.One(v.r.Context(), v.actor, id.Circuit(v.param("circuit")))
	if err != nil {
		return err
	}
	v.ref = one.Ref
	link := v.circuitLink(one.Circuit.ID)
	p := page.PermitSheet{Shell: v.page("Permit sheet: "+link.Text, "yard"), Title: "Permit sheet", Over: link, Name: link.Text, Facts: v.isolationFacts(one),
		Steps: permitSteps, Foot: fmt.Sprintf("As of %s, entry %s; circuit %s.", v.words.Moment(v.now), web.Number(one.Head), one.Circuit.ID)}
	_, state := circuitState(one.Isolation)
	p.State = capital(state) + v.sinceOf(one.Isolation)
	if !one.Isolation.Dead() {
		p.Stops = []string{v.circuitNotice(one.Row).Text}
	}
	for _, l := range v.circuitLocks(one) {
		l.Take = nil
		p.Locks = append(p.Locks, l)
	}
	return v.show(http.StatusOK, page.PermitSheetPage(p))
}

// permitSteps are the usual order of an isolation, as the training standard for the
// control of hazardous energies teaches it (V4 of 2 May 2025, page 37).
var permitSteps = []string{
	"Find every supply into the boundary. Tell everybody concerned.",
	"Cut each supply off and lock it. Each person who works on it puts on a lock of their own and keeps its key.",
	"Release stored energy: springs, pressure, charge, raised parts.",
	"Prove the instrument on a known source, test that the circuit is dead, prove the instrument again.",
	"If anybody is unsure, or work stops overnight: take it for live and test again.",
	"Before it goes live: people clear and told, tools and earths away, each lock taken off by its owner, the person in charge last.",
}

func isolationList(v *visit, t *taking) error {
	list, err := v.Circuits.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	return v.plain(t, []string{"Circuit", "State", "Since", "Permit", "In charge", "Locks on", "Changeover minutes", "Id"}, func(*records.Lists) error {
		return each(t, list.Rows, func(r circuits.Row) []any {
			return []any{v.circuitLink(r.Circuit.ID).Text, strings.TrimPrefix(running.EnergyWords(r.Isolation.State), "is "), v.at(r.Isolation.Since), list.Texts[r.Isolation.Permit],
				list.Names[r.Isolation.InCharge], strings.Join(lockNames(r.Isolation, list.Names), ", "), int(r.Circuit.Changeover), string(r.Circuit.ID)}
		})
	})
}

func authorityList(v *visit, t *taking) error {
	list, err := v.Circuits.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	return v.plain(t, []string{"Circuit", "Person", "From", "Until", "Given by", "Taken back"}, func(*records.Lists) error {
		for _, r := range list.Rows {
			if err := each(t, r.Authorised, func(a rig.Authority) []any {
				back := ""
				if a.Ended {
					back = "yes"
				}
				return []any{v.circuitLink(a.Circuit).Text, list.Names[a.Person], a.From, a.Until, list.Names[a.By], back}
			}); err != nil {
				return err
			}
		}
		return nil
	})
}

// rigCircuits links the circuits that exercises on a rig's stations need.
func (v *visit) rigCircuits(r yardday.RigPage) []ui.Fact {
	var out []ui.Fact
	for _, c := range v.ref.Circuits.All(v.today) {
		for _, e := range v.ref.Exercises.All(v.today) {
			here := slices.ContainsFunc(r.Stations, func(s yardday.StationPage) bool { return slices.Contains(e.Stations, s.Station.ID) })
			if here && slices.ContainsFunc(e.Energy, func(n curriculum.EnergyNeed) bool { return n.Circuit == c.ID }) {
				out = append(out, ui.Fact{Label: "Circuit", Value: v.circuitLink(c.ID)})
				break
			}
		}
	}
	return out
}
