package booking

import (
	"context"
	"slices"
	"sync"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Attention is what booked sessions have come to since they were booked: those
// that a later fact broke, those that wait for a caution to be accepted, and
// those that are over and not signed.
type Attention struct {
	Broken   []Broken
	Waiting  []Waits
	Unsigned []session.Session
	Shifted  []session.Session // their offset is no longer the zone's: check the local time
	Slice    *planning.Slice
	Ref      *store.Reference
	Zone     civil.Zone
	Head     int64 // the entry of which it is
}

// Broken is a finding about standing sessions.
type Broken struct {
	Finding  verdict.Finding
	Sessions []session.Session // to come, that it names; empty for a finding about a person's day
	Slice    *planning.Slice   // it was judged in, which knows its names
}

// Waits is a pencilled session with the cautions that keep it so.
type Waits struct {
	Session session.Session
	Waits   []verdict.Finding
}

// keptAttention is the answer last worked out. It holds as long as no entry is
// written and the minute lasts; many people open the yard in the same minute.
type keptAttention struct {
	mu     sync.Mutex
	known  bool
	head   int64
	now    civil.Instant
	answer Attention
}

// Attention judges every session to come against today's records. The answer is
// shared: it is only to be read.
func (d *Desk) Attention(ctx context.Context, actor access.Actor) (Attention, error) {
	if _, err := access.Require(actor, access.SeeAttention); err != nil {
		return Attention{}, err
	}
	var out Attention
	err := d.store.Read(ctx, func(v *store.View) (err error) {
		k := &d.kept
		k.mu.Lock()
		defer k.mu.Unlock()
		if !k.known || k.head != v.Head() || k.now != v.Now() {
			k.answer, err = d.attention(v)
			k.known, k.head, k.now = err == nil, v.Head(), v.Now()
		}
		out = k.answer
		return err
	})
	return out, err
}

func (d *Desk) attention(v *store.View) (Attention, error) {
	today := v.Today()
	ahead, err := v.BookedAfter(v.Now())
	if err != nil {
		return Attention{}, err
	}
	last := today
	for _, r := range ahead {
		last = max(last, v.Zone().DayOf(r.Start))
	}
	out := Attention{Zone: v.Zone(), Head: v.Head()}
	if out.Ref, err = v.Reference(); err != nil {
		return Attention{}, err
	}
	toCome := map[string]session.Session{}
	for _, r := range ahead {
		toCome[string(r.ID)] = r
	}
	for _, span := range stretches(out.Ref, today, last) {
		if out.Slice, err = d.builder.Build(v, planning.Scope{From: span.from, Until: span.until, Everyone: true}); err != nil {
			return Attention{}, err
		}
		for _, f := range out.Slice.All().At(verdict.Stops) {
			if b, ok := brokenBy(f, toCome, span, v.Zone()); ok {
				b.Slice = out.Slice
				out.Broken = append(out.Broken, b)
			}
		}
		if err := out.addWaiting(v, ahead, span); err != nil {
			return Attention{}, err
		}
	}
	if out.Shifted, err = v.Shifted(); err != nil {
		return Attention{}, err
	}
	out.Unsigned, err = v.NotSignedBefore(v.Now())
	return out, err
}

// addWaiting adds the pencilled sessions of a stretch with what keeps them so,
// those among them whose time has come too: they are not to run.
func (a *Attention) addWaiting(v *store.View, ahead []session.Session, span stretch) error {
	started, err := v.SessionsBetween(a.Zone.StartOfDay(v.Today()), v.Now()+1)
	if err != nil {
		return err
	}
	for _, r := range slices.Concat(started, ahead) {
		day := a.Zone.DayOf(r.Start)
		if r.State != session.Pencilled || day < span.from || span.until < day || r.End <= v.Now() {
			continue
		}
		p := planning.AsPlan(r)
		j := Judged{Session: p, Slice: a.Slice, Report: a.Slice.Standalone(p)}
		if err := j.markAccepted(v, r.ID); err != nil {
			return err
		}
		if !slices.ContainsFunc(a.Waiting, func(w Waits) bool { return w.Session.ID == r.ID }) {
			a.Waiting = append(a.Waiting, Waits{r, j.Waits})
		}
	}
	return nil
}

// stretch is days [from, until], both counted, judged by one set of versions.
type stretch struct{ from, until civil.Day }

// stretches cuts the days ahead where a version of the rule book or of an
// exercise begins or ends: each session is judged by the versions of its own day.
func stretches(ref *store.Reference, from, until civil.Day) []stretch {
	starts := []civil.Day{from}
	add := func(d civil.Day) {
		if from < d && d <= until && !slices.Contains(starts, d) {
			starts = append(starts, d)
		}
	}
	for _, b := range ref.RuleBooks.All(civil.LastDay) {
		add(b.From)
	}
	for _, e := range ref.Exercises.Keys() {
		for _, version := range ref.Exercises.Versions(e) {
			add(version.From)
			add(version.Value.Retired)
		}
	}
	slices.Sort(starts)
	out := make([]stretch, len(starts))
	for i, d := range starts {
		out[i] = stretch{d, until}
		if i+1 < len(starts) {
			out[i].until = starts[i+1] - 1
		}
	}
	return out
}

// brokenBy keeps a finding if it concerns a session to come on one of the
// stretch's days. A finding about a person's days that names no session is kept
// too: it can only come from sessions that stand.
func brokenBy(f verdict.Finding, toCome map[string]session.Session, span stretch, zone civil.Zone) (Broken, bool) {
	b := Broken{Finding: f}
	about := false
	for _, ref := range f.Refs() {
		if ref.Kind != verdict.Session {
			continue
		}
		about = true
		r, ok := toCome[ref.ID]
		twice := slices.ContainsFunc(b.Sessions, func(x session.Session) bool { return x.ID == r.ID })
		if day := zone.DayOf(r.Start); ok && !twice && span.from <= day && day <= span.until {
			b.Sessions = append(b.Sessions, r)
		}
	}
	return b, !about || len(b.Sessions) > 0
}

// CountWaiting returns how many things wait for this person: broken and unsigned
// sessions, and cautions of their fields.
func (d *Desk) CountWaiting(a Attention, actor access.Actor, me id.Person) int {
	n := len(a.Broken)
	for _, w := range a.Waiting {
		for _, f := range w.Waits {
			if access.MayAccept(actor, f.Field) {
				n++
				break
			}
		}
	}
	for _, r := range a.Unsigned {
		for _, p := range r.Instructors {
			if p == me {
				n++
				break
			}
		}
	}
	return n
}
