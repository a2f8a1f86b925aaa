package running_test

import (
	"flag"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// Each random history copies a yard and asks every rule after each act: few of them.
func init() {
	for name, value := range map[string]string{"rapid.checks": "8", "rapid.steps": "15"} {
		if err := flag.Set(name, value); err != nil {
			panic("rapid has no flag " + name + ": " + err.Error())
		}
	}
}

// truth is what a witness at the rig would say: who was there in which minute. It
// is kept beside the desk, minute by minute, and knows none of its code.
type truth struct {
	here map[session.Seen]map[civil.Instant]bool
}

func (w *truth) mark(who session.Seen, from, until civil.Instant) {
	who.Here = true
	if w.here[who] == nil {
		w.here[who] = map[civil.Instant]bool{}
	}
	for at := from; at < until; at++ {
		w.here[who][at] = true
	}
}

func TestNobodyIsCreditedTimeTheyWereNotThereAndNothingRunsWithoutCover(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		r := open(t)
		s := r.ready()
		r.teach(s)
		everybody := all(s)
		w := &truth{here: map[session.Seen]map[civil.Instant]bool{}}
		var here []session.Seen
		refused := func(err error) {
			if err != nil && fault.Of(err) == fault.Internal {
				rt.Fatalf("%v", err)
			}
		}
		tick := func() {
			step := civil.Minutes(rapid.IntRange(0, 25).Draw(rt, "minutes"))
			for _, x := range here {
				w.mark(x, r.now, r.now.Add(step))
			}
			r.now = r.now.Add(step)
		}
		if rapid.IntRange(0, 3).Draw(rt, "called") > 0 { // else hardly any history gets to its end
			r.call(s.ID, 0, everybody...)
			here = everybody
			if _, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil {
				rt.Fatal(err)
			}
		}
		shut := 0
		var closed session.Session
		rt.Repeat(map[string]func(*rapid.T){
			"roll": func(rt *rapid.T) {
				tick()
				next := slices.DeleteFunc(slices.Clone(everybody), func(x session.Seen) bool { return rapid.IntRange(0, 9).Draw(rt, "here") == 0 })
				_, err := r.Roll(ctx, r.instructor, s.ID, r.send(s.ID), r.show(s.ID).RollRev, 0, next)
				if refused(err); err == nil {
					here = next
				}
			},
			"start": func(*rapid.T) {
				_, err := r.Start(ctx, r.instructor, s.ID, r.send(s.ID))
				refused(err)
			},
			"pause": func(rt *rapid.T) {
				tick()
				refused(r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, rapid.SampledFrom(session.PauseReasons()).Draw(rt, "why")))
			},
			"resume": func(*rapid.T) {
				tick()
				_, err := r.Resume(ctx, r.instructor, s.ID, r.send(s.ID))
				refused(err)
			},
			"shut": func(rt *rapid.T) {
				if shut++; shut == 1 && rapid.IntRange(0, 9).Draw(rt, "shut") == 0 {
					r.put("shut", rig.Shut{ID: "shut-now", Station: s.Station, Start: r.now, Reason: rig.ShutFault})
				}
			},
			"end": func(rt *rapid.T) {
				if rapid.IntRange(0, 3).Draw(rt, "end") == 0 {
					tick()
					refused(r.End(ctx, r.instructor, s.ID, r.send(s.ID), 0))
				}
			},
			"sign": func(*rapid.T) {
				shown := r.show(s.ID)
				if shown.Session.State == session.UnderWay && shown.Session.Ended() {
					for _, x := range s.Trainees {
						refused(r.Note(ctx, r.instructor, s.ID, r.send(s.ID), r.show(s.ID).ResultsRev, found(shown, x, session.Competent)))
					}
				}
				_, err := r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{Without: true, Rev: r.show(s.ID).ResultsRev})
				refused(err)
			},
			"": func(rt *rapid.T) { r.holds(rt, s, w, &closed) },
		})
	})
}

// holds asks what must be so after each act.
func (r *rigside) holds(rt *rapid.T, s session.Session, w *truth, closed *session.Session) {
	shown := r.show(s.ID)
	now := shown.Session
	if now.State == session.UnderWay && !now.Paused() && !now.Ended() && len(shown.Attendance.Presences) > 0 {
		// Judged at its last act: what changed since, such as a shut station, shows on
		// the page at once and pauses at the next act.
		for _, rule := range []string{"ratio", "rescue-cover", "first-aid", "staff-min"} {
			if slices.ContainsFunc(shown.Report.At(verdict.Stops), func(f verdict.Finding) bool { return f.Rule == rule }) {
				rt.Fatalf("it runs though %s is not kept", rule)
			}
		}
	}
	for _, x := range s.Trainees {
		credited := r.hours(x, s.ID)
		if now.State != session.SignedOff && credited != 0 {
			rt.Fatalf("%s credited while it is %s", credited, now.State)
		}
		if credited > r.worked(now, w, x) {
			rt.Fatalf("%s credited; there and at work for %s", credited, r.worked(now, w, x))
		}
	}
	if now.State == session.SignedOff {
		if closed.ID == "" {
			*closed = now
		}
		if now.Start != closed.Start || now.End != closed.End || now.State != closed.State || !reflect.DeepEqual(now.Run.Pauses, closed.Run.Pauses) {
			rt.Fatalf("what was signed changed from %+v to %+v", closed, now)
		}
	}
}

// worked are the minutes in which a trainee was there while the session ran.
func (r *rigside) worked(s session.Session, w *truth, t id.Trainee) (sum civil.Minutes) {
	for at := range w.here[session.Seen{Who: string(t), Part: session.AsTrainee, Here: true}] {
		ran := s.Run != nil && s.Run.Began <= at && (s.Run.Ended == 0 || at < s.Run.Ended)
		if ran && !slices.ContainsFunc(s.Run.Pauses, func(p session.Pause) bool { return p.Start <= at && (p.End == 0 || at < p.End) }) {
			sum++
		}
	}
	return sum
}
