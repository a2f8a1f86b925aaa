package httpd

import (
	"cmp"
	"fmt"
	"net/http"
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/session"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// slotLength is the width of a day view's column.
const slotLength = civil.Minutes(30)

func dayPage(v *visit) error {
	day, err := civil.ParseDay(v.param("day"))
	if err != nil {
		return fault.New(fault.NotFound, "%s", sentence(err))
	}
	b, err := v.Desk.Board(v.r.Context(), v.actor, day, day, booking.Filter{})
	if err != nil {
		return err
	}
	title := web.FullDay(day)
	p := page.Day{
		Shell: v.page(title, "week"), Title: title, Closed: b.Days[0].Closed,
		Steps: page.Steps{Label: "Days", Prev: v.dayLink(day - 1), Next: v.dayLink(day + 1)},
		Week:  ui.Link{Text: "Week " + weekNumber(day), Href: "/week/" + day.WeekString()},
	}
	if day != v.today {
		p.Steps.Now = ui.Link{Text: "Today", Href: v.dayLink(v.today).Href}
	}
	if access.May(v.actor, access.BookSession) && day >= v.today {
		p.Book = ui.Link{Text: "Book a session", Href: "/book?from=" + day.String()}
	}
	p.Papers = ui.Link{Text: "Day sheets", Href: "/day/" + day.String() + "/sheets"}
	grid := newDayGrid(b)
	p.Hours = grid.hours(v)
	for _, row := range b.Rows {
		if len(p.Rigs) == 0 || p.Rigs[len(p.Rigs)-1].Name.Href != "/rigs/"+string(row.Rig.ID) {
			p.Rigs = append(p.Rigs, page.DayRig{Name: v.rigLink(row.Rig), State: rigState(row.Rig.State)})
		}
		last := &p.Rigs[len(p.Rigs)-1]
		last.Stations = append(last.Stations, page.DayStation{
			Name: v.stationLink(row.Station), Note: web.Count(row.Station.Places, "place", "places"), Blocks: v.blocks(b, row, grid),
		})
		for _, s := range row.Cells[0].Sessions {
			shown := v.boardSession(b, row, s)
			if s.State == session.StoodDown {
				p.Down = append(p.Down, shown)
			} else {
				p.Sessions = append(p.Sessions, shown)
			}
		}
	}
	slices.SortStableFunc(p.Sessions, func(a, b page.BoardSession) int { return cmp.Compare(a.Times, b.Times) })
	p.Finding = boardFinding(b)
	p.Shell.TakeOut = v.takeOut("sessions", "from", day.String(), "until", day.String())
	p.Shell.Lists = v.otherDays(day, day)
	return v.show(http.StatusOK, page.DayPage(p))
}

func (v *visit) dayLink(d civil.Day) ui.Link {
	return ui.Link{Text: v.words.Day(d), Href: "/day/" + d.String()}
}

// dayGrid is the slots of a day, from the first opening or session to the last.
type dayGrid struct{ slots []civil.Period }

func newDayGrid(b booking.Board) dayGrid {
	var from, to civil.Instant
	widen := func(p civil.Period) {
		if from == 0 || p.Start < from {
			from = p.Start
		}
		to = max(to, p.End)
	}
	for _, o := range b.Days[0].Open {
		widen(o)
	}
	for _, r := range b.Rows {
		for _, s := range r.Cells[0].Sessions {
			widen(civil.Period{Start: s.Start, End: s.End})
		}
	}
	var g dayGrid
	if from == 0 {
		return g
	}
	// Begin on a whole hour, so that the heads above the slots are whole.
	from = from.Add(-b.Zone.Clock(from) % 60)
	for t := from; t < to; t = t.Add(slotLength) {
		g.slots = append(g.slots, civil.Period{Start: t, End: t.Add(slotLength)})
	}
	return g
}

func (g dayGrid) hours(v *visit) []page.DayHour {
	var out []page.DayHour
	for _, s := range g.slots {
		text := fmt.Sprintf("%02d", v.words.Zone.Clock(s.Start)/60)
		if n := len(out); n > 0 && out[n-1].Text == text {
			out[n-1].Slots++
			continue
		}
		out = append(out, page.DayHour{Text: text, Slots: 1})
	}
	return out
}

// blocks lays a station's sessions, shut and free times into the slots. A slot
// belongs to the session that takes most of it, the first of two.
func (v *visit) blocks(b booking.Board, row booking.BoardRow, g dayGrid) []page.DayBlock {
	cell := row.Cells[0]
	var out []page.DayBlock
	kind := ""
	for _, slot := range g.slots {
		block, key := v.block(b, row, cell, slot)
		if len(out) > 0 && key == kind {
			out[len(out)-1].Slots++
			continue
		}
		out, kind = append(out, block), key
	}
	return out
}

func (v *visit) block(b booking.Board, row booking.BoardRow, cell booking.BoardCell, slot civil.Period) (page.DayBlock, string) {
	var most *booking.BoardSession
	var share civil.Minutes
	for i, s := range cell.Sessions {
		overlap := min(s.End, slot.End).Sub(max(s.Start, slot.Start))
		if s.State.Holds() && overlap > share {
			most, share = &cell.Sessions[i], overlap
		}
	}
	if most != nil {
		shown := v.boardSession(b, row, *most)
		return page.DayBlock{Slots: 1, Session: &shown}, "session " + string(most.ID)
	}
	for _, x := range cell.Shut {
		if x.Overlaps(slot) {
			text := v.shutWords(x, b.Days[0])
			return page.DayBlock{Slots: 1, Shut: text}, text
		}
	}
	day := b.Days[0]
	open := slices.ContainsFunc(day.Open, func(o civil.Period) bool { return o.Covers(slot) })
	if open && slot.Start >= v.now && day.Day >= v.today {
		return page.DayBlock{Slots: 1, Free: v.freeCell(row, day.Day)}, "free"
	}
	return page.DayBlock{Slots: 1}, ""
}
