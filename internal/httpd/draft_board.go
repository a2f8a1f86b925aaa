package httpd

import (
	"cmp"
	"fmt"
	"net/url"
	"slices"
	"strconv"

	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// draftBoard is one week of the yard with what a draft proposes beside what
// stands. An accepted draft proposes nothing more: what it booked stands.
func (v *visit) draftBoard(d drafting.Draft, q url.Values) (page.Week, error) {
	monday := v.draftWeek(d, q.Get("week"))
	changes := d.Changes
	if d.Progress.State == drafting.Accepted {
		changes = nil
	}
	w, b, err := v.weekOf(monday, d.From, d.Until, "/drafts/"+string(d.ID)+"?week=")
	if err != nil {
		return w, err
	}
	o := overlay{visit: v, board: b, names: d.Slice, changes: map[string]drafting.Change{}}
	for _, c := range changes {
		o.changes[c.Session.ID] = c
	}
	o.lay(w.Rigs)
	w.Finding = o.finding()
	return w, nil
}

// draftWeek is the week asked for, of those that the draft plans; at first that
// of its first change.
func (v *visit) draftWeek(d drafting.Draft, asked string) civil.Day {
	first := d.From
	if len(d.Changes) > 0 {
		first = v.words.Zone.DayOf(d.Changes[0].Session.Start)
	}
	if m, err := civil.ParseWeek(asked); err == nil && d.From.Monday() <= m && m <= d.Until {
		first = m
	}
	return first.Monday()
}

// weekOf is one week's board with steps that stay between two days. here is the
// page's address up to the week.
func (v *visit) weekOf(monday, from, until civil.Day, here string) (page.Week, booking.Board, error) {
	b, err := v.Desk.Board(v.r.Context(), v.actor, monday, monday+6, booking.Filter{})
	if err != nil {
		return page.Week{}, b, err
	}
	trim(&b)
	w := page.Week{Title: "Week " + weekNumber(monday) + ", " + v.words.Days(b.From, b.Until), Dates: v.words.Days(b.From, b.Until), Rigs: v.weekRigs(b), Steps: page.Steps{Label: "Weeks"}}
	for _, day := range b.Days {
		w.Days = append(w.Days, v.weekDay(day))
	}
	step := func(m civil.Day) ui.Link {
		return ui.Link{Text: "Week " + weekNumber(m), Href: here + m.WeekString() + "#board"}
	}
	if monday > from {
		w.Steps.Prev = step(monday - 7)
	}
	if monday+7 <= until {
		w.Steps.Next = step(monday + 7)
	}
	return w, b, nil
}

// overlay lays the changes of a draft over a board.
type overlay struct {
	*visit
	board                           booking.Board
	names                           *planning.Slice
	changes                         map[string]drafting.Change // by session
	proposed, moved, gone, standing int
}

// lay marks the sessions that a draft changes and adds those that it proposes.
func (o *overlay) lay(rigs []page.WeekRig) {
	row := 0
	for r := range rigs {
		for s := range rigs[r].Stations {
			at := o.board.Rows[row]
			cells := rigs[r].Stations[s].Cells
			for i := range cells {
				o.mark(at.Cells[i].Sessions, cells[i].Sessions)
				o.add(at, o.board.Days[i].Day, &cells[i])
			}
			row++
		}
	}
}

// mark shows what becomes of the sessions of one cell.
func (o *overlay) mark(stand []booking.BoardSession, shown []page.BoardSession) {
	for i, s := range stand {
		c, changes := o.changes[string(s.ID)]
		if !changes {
			if s.State.Holds() {
				o.standing++
			}
			continue
		}
		shown[i].State, shown[i].Href, shown[i].Broken = "given up", "#"+changeID(c), false
		switch c.Kind {
		case drafting.Moved:
			o.moved++
			shown[i].Change = "moves to " + o.words.Moment(c.Session.Start)
		case drafting.PeopleChanged:
			shown[i].Change = "with other people"
		default:
			o.gone++
			shown[i].Change = "no longer held"
		}
	}
}

// add puts the sessions that a draft proposes for a station and day into its cell.
func (o *overlay) add(row booking.BoardRow, day civil.Day, cell *page.WeekCell) {
	for _, c := range o.changes {
		s := c.Session
		if c.Kind == drafting.Gone || s.Station != string(row.Station.ID) || o.words.Zone.DayOf(s.Start) != day {
			continue
		}
		o.proposed++
		cell.Sessions = append(cell.Sessions, o.strip(row, c))
		cell.Free = page.BoardFree{}
	}
	// Times are written 08:00, so their order as text is their order in time.
	slices.SortStableFunc(cell.Sessions, func(a, b page.BoardSession) int {
		return cmp.Or(cmp.Compare(a.Times, b.Times), cmp.Compare(a.Change, b.Change), cmp.Compare(a.Href, b.Href))
	})
}

func (o *overlay) strip(row booking.BoardRow, c drafting.Change) page.BoardSession {
	s := c.Session
	out := page.BoardSession{
		Href: "#" + changeID(c), Day: o.words.Day(o.words.Zone.DayOf(s.Start)), Times: o.words.Times(s.Period()), Station: o.ref.Text(row.Station.Name),
		Exercise: o.names.Name(verdict.Ref{Kind: verdict.Exercise, ID: s.Exercise}), Taken: strconv.Itoa(len(s.Trainees)) + "/" + strconv.Itoa(row.Station.Places),
		TakenSay: strconv.Itoa(len(s.Trainees)) + " of " + web.Count(row.Station.Places, "place", "places") + " taken", State: "proposed", Change: "new",
	}
	if len(s.Instructors) > 0 {
		out.Lead = shortName(o.names.Name(verdict.Ref{Kind: verdict.Person, ID: s.Instructors[0]}))
	}
	switch c.Kind {
	case drafting.Moved:
		out.Change = "moves from " + o.words.Moment(c.Was.Start)
	case drafting.PeopleChanged:
		out.Change = "other people"
	}
	if len(c.Waits) > 0 {
		out.Note = "would be pencilled"
	}
	return out
}

func (o *overlay) finding() string {
	parts := []string{web.Count(o.proposed, "session proposed", "sessions proposed")}
	if given := o.moved + o.gone; given > 0 {
		parts = append(parts, web.Count(given, "place given up", "places given up"))
	}
	return capital(web.List(append(parts, "beside "+web.Count(o.standing, "that stands", "that stand")))) + "."
}

// changeID is the element of a change, to which the board leads.
func changeID(c drafting.Change) string { return "change-" + c.Session.ID }

// draftChanges lists what a draft changes, by kind; what touches standing sessions
// comes first.
func (v *visit) draftChanges(d drafting.Draft) []page.DraftChanges {
	kinds := []struct {
		kind  drafting.ChangeKind
		title string
	}{{drafting.Moved, "Moves"}, {drafting.PeopleChanged, "Other people"}, {drafting.Gone, "No longer held"}, {drafting.Added, "New"}}
	var out []page.DraftChanges
	for _, k := range kinds {
		var rows []page.DraftChange
		for _, c := range d.Changes {
			if c.Kind == k.kind {
				rows = append(rows, v.draftChange(d, c))
			}
		}
		if len(rows) > 0 {
			out = append(out, page.DraftChanges{Title: fmt.Sprintf("%s (%d)", k.title, len(rows)), Open: len(out) == 0, Rows: rows})
		}
	}
	return out
}

func (v *visit) draftChange(d drafting.Draft, c drafting.Change) page.DraftChange {
	out := v.proposed(d.Slice, drafting.Part{Session: c.Session})
	out.ID = changeID(c)
	if c.Was != nil {
		out.Exercise.Href = "/sessions/" + c.Session.ID
	}
	if c.Was != nil && c.Kind != drafting.Gone {
		was := v.proposed(d.Slice, drafting.Part{Session: *c.Was})
		out.Was = append(out.Was, "Until now "+was.When+", "+was.Where+", "+was.People+".")
	}
	for _, f := range c.Waits {
		out.Was = append(out.Was, "Would be pencilled: "+f.Found.In(v.styleOf(d.Slice))+".")
	}
	return out
}

// proposed words the session of a part.
func (v *visit) proposed(names *planning.Slice, p drafting.Part) page.DraftChange {
	s := p.Session
	out := page.DraftChange{When: v.words.Period(s.Period()), Exercise: ui.Link{Text: names.Name(verdict.Ref{Kind: verdict.Exercise, ID: s.Exercise})},
		Where: names.Name(verdict.Ref{Kind: verdict.Station, ID: s.Station}), People: web.Count(len(s.Trainees), "trainee", "trainees")}
	var staff []string
	for _, p := range slices.Concat(s.Instructors, s.Rescuers) {
		staff = append(staff, shortName(names.Name(verdict.Ref{Kind: verdict.Person, ID: p})))
	}
	if len(staff) > 0 {
		out.People += " with " + web.List(staff)
	}
	return out
}
