package booking_test

import (
	"os"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// TestWhateverIsBookedTheBoardKeepsEveryRule plays random histories at a desk.
// After each act no rule is broken on the whole board that was not before, but
// for what standing down leaves open; what was just written as booked has no
// caution that nobody accepted; and at the end the ledger, replayed, gives the
// tables that stand.
func TestWhateverIsBookedTheBoardKeepsEveryRule(t *testing.T) {
	var last string // folder of the last history, for one replay at the end
	folder := t.TempDir()
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp(folder, "history-")
		if err != nil {
			rt.Fatal(err)
		}
		o := newOffice(t, dir)
		h := &history{office: o, rt: rt}
		h.broken = h.stops()
		rt.Repeat(map[string]func(*rapid.T){
			"book": h.book, "book again": h.book, "move": h.move, "change people": h.changePeople, "stand down": h.standDown,
			"reopen": h.reopen, "accept": h.accept, "confirm": h.confirm, "": func(*rapid.T) {},
		})
		if err := o.store.Close(); err != nil {
			rt.Fatal(err)
		}
		if last != "" {
			if err := os.RemoveAll(last); err != nil {
				rt.Fatal(err)
			}
		}
		last = dir
	})
	if last == "" {
		return
	}
	s, err := store.Open(ctx, store.Options{Dir: last, Clock: demotest.ClockAt(func() civil.Instant { return eight })})
	if err != nil {
		t.Fatal(err)
	}
	report, err := s.Rebuild(ctx)
	if err != nil || !report.Equal() {
		t.Errorf("the ledger replayed: %v\n%s", err, report)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
}

// history is a desk in the middle of a random history.
type history struct {
	*office
	rt     *rapid.T
	broken []string // stops that stand on the board
}

// stops are the rules broken on the whole board of the weeks ahead.
func (h *history) stops() (out []string) {
	var builder planning.Builder
	h.read(func(v *store.View) error {
		s, err := builder.Build(v, planning.Scope{From: monday, Until: monday + 25, Day: monday, Everyone: true})
		if err != nil {
			return err
		}
		for _, f := range s.All().At(verdict.Stops) {
			out = append(out, f.Subject())
		}
		return nil
	})
	return out
}

// check compares the board after an act; may are the subjects that the act was
// said to break.
func (h *history) check(rt *rapid.T, sid id.Session, may ...string) {
	now := h.stops()
	for _, subject := range now {
		if !slices.Contains(h.broken, subject) && !slices.Contains(may, subject) {
			rt.Fatalf("the board now breaks %q", subject)
		}
	}
	h.broken = now
	sheet, err := h.Sheet(ctx, h.auditor, sid)
	if err != nil {
		rt.Fatal(err)
	}
	if sheet.Value.State == session.Booked && len(sheet.Judged.Waits) > 0 {
		rt.Fatalf("booked, and yet %s waits to be accepted", sheet.Judged.Waits[0].Rule)
	}
}

// one draws a session to come in one of some states; it skips where there is none.
func (h *history) one(rt *rapid.T, states ...session.State) store.Row[session.Session] {
	list := slices.DeleteFunc(h.between(monday, monday+26), func(r session.Session) bool { return r.Start < h.now || !slices.Contains(states, r.State) })
	if len(list) == 0 {
		rt.Skip("no such session")
	}
	return h.session(rapid.SampledFrom(list).Draw(rt, "session").ID)
}

// done looks at what an act came to. A refusal must have written nothing.
func (h *history) done(rt *rapid.T, before int64, done booking.Done, err error) {
	switch {
	case err != nil && fault.Of(err) == fault.Internal:
		rt.Fatal(err)
	case err != nil, done.Refused != nil:
		if h.head() != before {
			rt.Fatalf("refused (%v), and yet %d entries were written", err, h.head()-before)
		}
	default:
		h.check(rt, done.Session)
	}
}

func (h *history) book(rt *rapid.T) {
	ref := h.reference()
	running := slices.DeleteFunc(ref.Intakes.All(monday), func(in people.Intake) bool { return in.Until < monday+2 })
	in := rapid.SampledFrom(running).Draw(rt, "intake")
	e := rapid.SampledFrom(ref.Exercises.All(monday)).Draw(rt, "exercise")
	from := monday + civil.Day(rapid.IntRange(0, 12).Draw(rt, "from"))
	options, err := h.Options(ctx, h.instructor, booking.Ask{Exercise: e.ID, Intake: in.ID, From: from, Until: from + 6})
	if fault.Of(err) == fault.Internal && err != nil {
		rt.Fatal(err)
	}
	if len(options.Offers) == 0 {
		rt.Skip("no free time")
	}
	p := proposal(rapid.SampledFrom(options.Offers).Draw(rt, "offer"))
	if rapid.IntRange(0, 3).Draw(rt, "as offered") == 0 { // else somebody shifts it by hand
		p.Start = p.Start.Add(civil.Minutes(15 * rapid.IntRange(-8, 8).Draw(rt, "quarters")))
	}
	before := h.head()
	done, err := h.Book(ctx, h.instructor, p, h.send())
	h.done(rt, before, done, err)
}

func (h *history) move(rt *rapid.T) {
	row := h.one(rt, session.Booked, session.Pencilled)
	p := asProposal(row.Value)
	if rapid.Bool().Draw(rt, "to an offer") {
		d := demo.Zone().DayOf(p.Start)
		options, err := h.Options(ctx, h.instructor, booking.Ask{Exercise: p.Exercise, Trainees: p.Trainees, From: max(monday, d-2), Until: d + 3, Move: p.Session})
		if err != nil {
			rt.Fatal(err)
		}
		if len(options.Offers) == 0 {
			rt.Skip("no other time")
		}
		p = proposal(rapid.SampledFrom(options.Offers).Draw(rt, "offer"))
		p.Session = row.Value.ID
	} else {
		p.Start = p.Start.Add(civil.Minutes(15 * rapid.IntRange(-100, 200).Draw(rt, "quarters")))
	}
	before := h.head()
	done, err := h.Move(ctx, h.instructor, p, row.Rev, h.send())
	h.done(rt, before, done, err)
}

func (h *history) changePeople(rt *rapid.T) {
	row := h.one(rt, session.Booked, session.Pencilled)
	p := asProposal(row.Value)
	switch {
	case len(p.Trainees) > 1 && rapid.Bool().Draw(rt, "fewer"):
		p.Trainees = p.Trainees[1:]
	default:
		p.Instructors = []id.Person{rapid.SampledFrom(h.reference().Staff.All(monday)).Draw(rt, "instructor").ID}
	}
	before := h.head()
	done, err := h.ChangePeople(ctx, h.instructor, p, row.Rev, h.send())
	h.done(rt, before, done, err)
}

func (h *history) standDown(rt *rapid.T) {
	row := h.one(rt, session.Booked, session.Pencilled)
	after, err := h.After(ctx, h.instructor, row.Value.ID)
	if err != nil {
		rt.Fatal(err)
	}
	var told []string
	for _, f := range after.Findings {
		told = append(told, f.Subject())
	}
	reason := rapid.SampledFrom(session.DownReasons()).Draw(rt, "reason")
	if err := h.StandDown(ctx, h.instructor, row.Value.ID, row.Rev, reason, "", h.key()); err != nil {
		rt.Fatalf("standing down is never refused: %v", err)
	}
	h.check(rt, row.Value.ID, told...)
}

func (h *history) reopen(rt *rapid.T) {
	row := h.one(rt, session.StoodDown)
	before := h.head()
	done, err := h.Reopen(ctx, h.instructor, row.Value.ID, row.Rev, h.send())
	h.done(rt, before, done, err)
}

func (h *history) confirm(rt *rapid.T) {
	row := h.one(rt, session.Pencilled)
	before := h.head()
	done, err := h.Confirm(ctx, h.instructor, row.Value.ID, row.Rev, h.send())
	h.done(rt, before, done, err)
}

func (h *history) accept(rt *rapid.T) {
	row := h.one(rt, session.Pencilled)
	sheet, err := h.Sheet(ctx, h.instructor, row.Value.ID)
	if err != nil {
		rt.Fatal(err)
	}
	if len(sheet.Judged.Waits) == 0 {
		rt.Skip("nothing waits")
	}
	f := rapid.SampledFrom(sheet.Judged.Waits).Draw(rt, "caution")
	who := rapid.SampledFrom([]access.Actor{h.responsible(f.Field), h.instructor, h.admin}).Draw(rt, "who")
	before := h.head()
	err = h.Accept(ctx, who, row.Value.ID, f.Subject(), "because", true, h.key())
	h.done(rt, before, booking.Done{Session: row.Value.ID}, err)
	if may := access.MayAccept(who, f.Field); (err == nil) != may {
		rt.Fatalf("accepting as one who may: %t, gave %v", may, err)
	}
}
