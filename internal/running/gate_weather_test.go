package running_test

import (
	"testing"

	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/weather"
)

// shutBy names the gates of weather that do not hold.
func (r *rigside) shutBy(s session.Session) (n int) {
	r.Helper()
	out, err := r.Show(ctx, r.instructor, s.ID)
	if err != nil {
		r.Fatal(err)
	}
	for _, g := range running.Shut(out.Gates, out.Session.State) {
		if g.Name == "weather" {
			n++
		}
	}
	return n
}

func TestASessionOutdoorsStartsOnlyUnderAFreshReadingThatStopsNothing(t *testing.T) {
	r := open(t)
	s := r.ready()
	r.call(s.ID, 0, all(s)...)
	r.now = r.now.Add(31)
	r.fairAt = r.now // nobody reads it
	if r.shutBy(s) == 0 {
		t.Error("a reading of 31 minutes ago is enough")
	}
	if shut, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) == 0 {
		t.Errorf("started: %v, %v", shut, err)
	}
	gale := fair(r.now)
	gale.ID = "gale"
	*gale.Gust = 140
	r.put("read", gale)
	if r.shutBy(s) == 0 {
		t.Error("a gust of 14 m/s stops nothing")
	}
	r.now++
	r.put("read", fair(r.now))
	if n := r.shutBy(s); n != 0 {
		t.Errorf("%d gates of weather are shut in fair weather", n)
	}
	if shut, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) > 0 {
		t.Errorf("not started: %v, %v", names(shut), err)
	}
}

func TestThunderStopsASessionThatRunsAndTheWaitLetsItGoOn(t *testing.T) {
	r := open(t)
	s := r.start()
	r.now = r.now.Add(5)
	r.put("heard", weather.Reading{ID: "thunder", Kind: weather.Thunder, At: r.now})
	if r.shutBy(s) == 0 {
		t.Fatal("thunder stops nothing")
	}
	if err := r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, session.PauseFellAway); err != nil {
		t.Fatal(err)
	}
	r.now = r.now.Add(29)
	if shut, err := r.Resume(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) == 0 {
		t.Errorf("29 minutes after thunder: %v, %v", names(shut), err)
	}
	r.now++
	if shut, err := r.Resume(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) > 0 {
		t.Errorf("30 minutes after thunder: %v, %v", names(shut), err)
	}
}
