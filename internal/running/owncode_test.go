package running_test

import (
	"testing"

	"github.com/alexedwards/argon2id"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/people"
	"rungbook/internal/running"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

func TestAForgottenCodeIsChosenAnewAndWhatTheOldOneSignedCanStillBeChecked(t *testing.T) {
	r := open(t)
	s := r.start()
	r.teach(s)
	x := s.Trainees[0]
	renewal := running.Renewal{Identity: people.PictureDocument, Code: "a new code", Again: "a new code"}
	renew := func(actor access.Actor, change func(*running.Renewal)) error {
		one := renewal
		change(&one)
		return r.RenewCode(ctx, actor, s.ID, x, one, r.key())
	}
	as := func(n running.Renewal) func(*running.Renewal) { return func(one *running.Renewal) { *one = n } }
	r.kind(renew(r.instructor, as(renewal)), fault.Conflict) // none was chosen
	r.note(s.ID, x, session.Competent)
	before, old := int64(0), "code of "+string(x)
	r.read(func(v *store.View) error { before = v.Head(); return nil })
	sheet, err := r.CodeSheet(ctx, r.instructor, s.ID, x)
	if err != nil || sheet.Rev != 1 || len(sheet.History) != 1 || sheet.History[0].Anew != nil {
		t.Fatalf("before: %+v, %v", sheet, err)
	}
	renewal.Rev = sheet.Rev
	for name, wrong := range map[string]func(*running.Renewal){
		"identity not said": func(n *running.Renewal) { n.Identity = "" },
		"not a way to see":  func(n *running.Renewal) { n.Identity = "by phone" },
		"too short":         func(n *running.Renewal) { n.Code, n.Again = "short", "short" },
		"typed differently": func(n *running.Renewal) { n.Again = "a new cod" },
		"the old one":       func(n *running.Renewal) { n.Code, n.Again = old, old },
	} {
		if err := renew(r.instructor, wrong); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	stranger := r.instructor
	stranger.Person = s.Rescuers[0]
	r.kind(renew(stranger, as(renewal)), fault.Forbidden)
	r.kind(renew(r.auditor, as(renewal)), fault.Forbidden)
	r.kind(renew(r.instructor, func(n *running.Renewal) { n.Rev = 0 }), fault.Conflict)
	if err := renew(r.instructor, as(renewal)); err != nil {
		t.Fatal(err)
	}
	if n, _ := r.show(s.ID).Results.NoteOf(x); n.Signed == 0 {
		t.Error("what was countersigned before is gone")
	}
	shown := r.show(s.ID)
	if err := r.Note(ctx, r.instructor, s.ID, r.send(s.ID), shown.ResultsRev, found(shown, x, session.NotYetCompetent)); err != nil {
		t.Fatal(err)
	}
	r.kind(r.Countersign(ctx, r.instructor, s.ID, r.send(s.ID), r.show(s.ID).ResultsRev, x, old), fault.Invalid)
	if err := r.Countersign(ctx, r.instructor, s.ID, r.send(s.ID), r.show(s.ID).ResultsRev, x, "a new code"); err != nil {
		t.Errorf("the new code does not sign: %v", err)
	}
	r.read(func(v *store.View) error {
		list, err := v.Trainees(x)
		if err != nil {
			return err
		}
		for code, view := range map[string]*store.View{old: v.At(before, v.Today()), "a new code": v} {
			hash, _, err := view.OwnCode(list[0].Person)
			if err != nil {
				return err
			}
			if ok, err := argon2id.ComparePasswordAndHash(code, hash); err != nil || !ok {
				t.Errorf("%q is not what was on record then: %v", code, err)
			}
		}
		return nil
	})
	if sheet, err = r.CodeSheet(ctx, r.instructor, s.ID, x); err != nil || len(sheet.History) != 2 || sheet.History[1].Anew == nil || sheet.History[1].Anew.By != r.instructor.Person || sheet.History[1].At != r.now {
		t.Errorf("who saw whom, and when: %+v, %v", sheet.History, err)
	}
}
