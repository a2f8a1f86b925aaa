package running_test

import (
	"slices"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

func init() {
	cheap := *running.Hashing
	cheap.Memory, cheap.Iterations = 64, 1
	*running.Hashing = cheap
}

// found is one result for each outcome.
func found(shown running.Shown, t id.Trainee, a session.Assessed) running.Found {
	f := running.Found{Trainee: t, Remark: "steady hands"}
	for _, o := range shown.Exercise.Outcomes {
		f.Results = append(f.Results, session.Result{Outcome: o, Result: a, How: session.Watched})
	}
	return f
}

// teach makes the signed-in instructor the one who runs a session, so that they may sign.
func (r *rigside) teach(s session.Session) { r.instructor.Person = s.Instructors[0] }

// note keeps a result for each trainee and has it countersigned.
func (r *rigside) note(sid id.Session, t id.Trainee, a session.Assessed) {
	r.Helper()
	shown := r.show(sid)
	if err := r.Note(ctx, r.instructor, sid, r.send(sid), shown.ResultsRev, found(shown, t, a)); err != nil {
		r.Fatal(err)
	}
	if err := r.Countersign(ctx, r.instructor, sid, r.send(sid), r.show(sid).ResultsRev, t, "code of "+string(t)); err != nil {
		r.Fatal(err)
	}
}

// hours are the minutes credited to a trainee for a session.
func (r *rigside) hours(t id.Trainee, sid id.Session) (sum civil.Minutes) {
	r.read(func(v *store.View) error {
		list, err := v.Trainees(t)
		if err != nil {
			return err
		}
		rows, err := v.HoursOf(list[0].Person)
		for _, h := range rows {
			if h.Session == sid {
				sum += h.Minutes
			}
		}
		return err
	})
	return sum
}

func (r *rigside) completed(t id.Trainee, sid id.Session) (yes bool) {
	r.read(func(v *store.View) error {
		list, err := v.Completions(t)
		yes = slices.ContainsFunc(list, func(c store.Completion) bool { return c.Session == sid })
		return err
	})
	return yes
}

func TestASignedSessionCreditsWhatWasDoneLessThePausesHeld(t *testing.T) {
	r := open(t)
	s := r.start()
	r.teach(s)
	began := r.now
	never := s.Trainees[2]
	r.now = began.Add(1)
	r.call(s.ID, began, without(all(s), session.AsTrainee, string(never))...) // taken back in its minute
	r.now = began.Add(40)
	if err := r.Pause(ctx, r.instructor, s.ID, r.send(s.ID), 0, session.PauseBreak); err != nil {
		t.Fatal(err)
	}
	r.now = began.Add(55)
	if shut, err := r.Resume(ctx, r.instructor, s.ID, r.send(s.ID)); err != nil || len(shut) > 0 {
		t.Fatalf("%v, %v", names(shut), err)
	}
	r.now = began.Add(70)
	r.call(s.ID, 0, without(all(s), session.AsTrainee, string(s.Trainees[1]), string(never))...) // leaves early
	r.now = began.Add(90)
	r.note(s.ID, s.Trainees[0], session.Competent)
	r.note(s.ID, s.Trainees[1], session.NotYetCompetent)
	_, err := r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{Rev: r.show(s.ID).ResultsRev})
	r.kind(err, fault.Conflict) // not ended
	if err := r.End(ctx, r.instructor, s.ID, r.send(s.ID), 0); err != nil {
		t.Fatal(err)
	}
	if r.hours(s.Trainees[0], s.ID) != 0 || r.completed(s.Trainees[0], s.ID) {
		t.Error("something is credited before the signature")
	}
	missing, err := r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{Rev: r.show(s.ID).ResultsRev})
	for _, x := range s.Trainees[3:] {
		if !slices.ContainsFunc(missing, func(g running.Gate) bool { return strings.HasSuffix(g.Mend, string(x)) }) {
			t.Errorf("nothing is missing of %s", x)
		}
		r.note(s.ID, x, session.Competent)
	}
	if err != nil {
		t.Fatal(err)
	}
	if missing, err = r.Sign(ctx, r.instructor, s.ID, r.send(s.ID), running.Signature{Short: true, Rev: r.show(s.ID).ResultsRev}); err != nil || len(missing) > 0 {
		t.Fatalf("signing: %v, %v", names(missing), err)
	}
	for i, want := range map[int]civil.Minutes{0: 75, 1: 55, 2: 0} {
		if got := r.hours(s.Trainees[i], s.ID); got != want {
			t.Errorf("trainee %d: %s credited, want %s", i, got, want)
		}
	}
	if !r.completed(s.Trainees[0], s.ID) || r.completed(s.Trainees[1], s.ID) || r.completed(never, s.ID) {
		t.Error("completed by the wrong ones")
	}
	got := r.show(s.ID)
	if got.Session.State != session.CutShort || got.Session.Start != began || got.Session.End != r.now || got.Results.By != r.instructor.Person {
		t.Errorf("signed as %+v", got.Session)
	}
	r.kind(r.Note(ctx, r.instructor, s.ID, r.send(s.ID), got.ResultsRev, found(got, s.Trainees[0], session.NotYetCompetent)), fault.Conflict)
}

func TestOnlyAnInstructorWhoWasThereSigns(t *testing.T) {
	r := open(t)
	s := r.start()
	r.teach(s)
	r.now = r.now.Add(30)
	if err := r.End(ctx, r.instructor, s.ID, r.send(s.ID), 0); err != nil {
		t.Fatal(err)
	}
	for _, x := range s.Trainees {
		r.note(s.ID, x, session.NotAssessed)
	}
	other := r.instructor
	other.Person = s.Rescuers[0]
	missing, err := r.Sign(ctx, other, s.ID, r.send(s.ID), running.Signature{Rev: r.show(s.ID).ResultsRev})
	if err != nil || !slices.Equal(names(missing), []string{"signer"}) {
		t.Errorf("%v, %v", names(missing), err)
	}
}

func TestACountersignatureNeedsTheTraineesOwnCodeAndGoesWithTheResults(t *testing.T) {
	r := open(t)
	s := r.start()
	x := s.Trainees[0]
	r.kind(r.Countersign(ctx, r.instructor, s.ID, r.send(s.ID), 0, x, "long enough"), fault.Conflict) // nothing noted
	r.note(s.ID, x, session.Competent)
	r.kind(r.Countersign(ctx, r.instructor, s.ID, r.send(s.ID), r.show(s.ID).ResultsRev, x, "another code"), fault.Invalid)
	r.kind(r.Countersign(ctx, r.auditor, s.ID, r.send(s.ID), r.show(s.ID).ResultsRev, x, "another code"), fault.Forbidden) // and is not told that it is wrong
	r.kind(r.Countersign(ctx, r.instructor, s.ID, r.send(s.ID), r.show(s.ID).ResultsRev, x, "short"), fault.Invalid)
	if n, _ := r.show(s.ID).Results.NoteOf(x); n.Signed != r.now {
		t.Errorf("countersigned at %d", n.Signed)
	}
	shown := r.show(s.ID)
	if err := r.Note(ctx, r.instructor, s.ID, r.send(s.ID), shown.ResultsRev, found(shown, x, session.NotYetCompetent)); err != nil {
		t.Fatal(err)
	}
	if n, _ := r.show(s.ID).Results.NoteOf(x); n.Signed != 0 {
		t.Error("other results stand countersigned")
	}
	raw := ""
	r.read(func(v *store.View) error {
		return v.EachEntry(func(b []byte) error {
			if strings.Contains(string(b), "steady hands") || strings.Contains(string(b), "code of ") {
				raw = string(b)
			}
			return nil
		})
	})
	if raw != "" {
		t.Errorf("an entry holds typed text: %s", raw)
	}
}

func TestAResultWithoutItsWayIsRefused(t *testing.T) {
	r := open(t)
	s := r.start()
	for name, change := range map[string]func(*session.Result){
		"no way":       func(x *session.Result) { x.How = "" },
		"no score":     func(x *session.Result) { x.How = session.Written },
		"above 100":    func(x *session.Result) { x.How, x.Score = session.Written, 101 },
		"not a result": func(x *session.Result) { x.Result = "fine" },
	} {
		f := found(r.show(s.ID), s.Trainees[0], session.Competent)
		change(&f.Results[0])
		if err := r.Note(ctx, r.instructor, s.ID, r.send(s.ID), 0, f); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	good := found(r.show(s.ID), s.Trainees[0], session.Competent)
	good.Results[0].How, good.Results[0].Score = session.Written, 100
	if err := r.Note(ctx, r.instructor, s.ID, r.send(s.ID), 0, good); err != nil {
		t.Error(err)
	}
}

func TestASignatureDrawnOnThePhoneCountersignsWhatIsNotedAndGoesWithIt(t *testing.T) {
	r := open(t)
	s := r.start()
	x := s.Trainees[0]
	drawn, err := session.ParseDrawing("10,10 300,100;20,150 500,160")
	if err != nil {
		t.Fatal(err)
	}
	draw := func(who id.Trainee) error {
		return r.CountersignDrawn(ctx, r.instructor, s.ID, r.send(s.ID), r.show(s.ID).ResultsRev, who, drawn)
	}
	r.kind(draw(x), fault.Conflict) // nothing is noted
	r.kind(draw("nobody"), fault.NotFound)
	note := func() {
		shown := r.show(s.ID)
		r.no(r.Note(ctx, r.instructor, s.ID, r.send(s.ID), shown.ResultsRev, found(shown, x, session.Competent)))
	}
	note()
	r.no(draw(x))
	shown := r.show(s.ID)
	n, _ := shown.Results.NoteOf(x)
	if n.Signed != r.now || shown.Texts[n.Drawn] != drawn.String() {
		t.Errorf("countersigned at %d with %q", n.Signed, shown.Texts[n.Drawn])
	}
	r.kind(draw(x), fault.Conflict) // it is countersigned
	note()
	if n, _ := r.show(s.ID).Results.NoteOf(x); n.Signed != 0 || n.Drawn != "" {
		t.Error("other results stand countersigned by the same signature")
	}
	r.read(func(v *store.View) error {
		return v.EachEntry(func(b []byte) error {
			if strings.Contains(string(b), "300,100") {
				t.Errorf("the ledger holds the drawing itself: %s", b)
			}
			return nil
		})
	})
}
