package founding_test

import (
	"context"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// rescuer records one paper, rescue competence from monday-9 until a day, and
// returns its holder and id.
func (s *site) rescuer(until civil.Day) (id.Person, id.Certificate) {
	s.Helper()
	who, _ := s.yard()
	q := founding.Qualifications{Person: who, Rescue: founding.Paper{From: monday - 9, Until: until}}
	if err := s.Qualify(context.Background(), s.actor, q, s.key()); err != nil {
		s.Fatal(err)
	}
	return who, s.ref().StaffCertificates[who][0].ID
}

func (s *site) move(c id.Certificate, m founding.CertificateMove) error {
	return s.MoveCertificate(context.Background(), s.actor, founding.Of{ID: string(c), Rev: s.rev("certificate", string(c))}, m, s.key())
}

// rescuesOn asks the record whether somebody is a rescuer on a day.
func (s *site) rescuesOn(who id.Person, on civil.Day) bool {
	for _, span := range credential.EntitlementsOf(s.ref().StaffCertificates[who]).Rescue {
		if span.Holds(on) {
			return true
		}
	}
	return false
}

// countedOn is a certificate as it counts on a day, by what is known now.
func (s *site) countedOn(c id.Certificate, on civil.Day) (out credential.Certificate) {
	s.Helper()
	err := s.store.Read(context.Background(), func(v *store.View) error {
		row, err := v.At(v.Head(), on).Certificate(c)
		out = row.Value
		return err
	})
	if err != nil {
		s.Fatal(err)
	}
	return out
}

func TestAMistypedLastDayIsCorrectedOnEveryDay(t *testing.T) {
	s := empty(t)
	who, c := s.rescuer(monday + 4500)
	if !s.rescuesOn(who, monday+100) {
		t.Fatal("the paper does not count as recorded")
	}
	right := credential.Days{Completed: monday - 9, From: monday - 9, Until: monday + 45}
	if err := s.move(c, founding.CertificateMove{Move: credential.ToCorrect, Days: right, Why: "2072 was typed for 2027"}); err != nil {
		t.Fatal(err)
	}
	if !s.rescuesOn(who, monday+45) || s.rescuesOn(who, monday+46) {
		t.Errorf("after the correction: %t on the last day, %t on the next", s.rescuesOn(who, monday+45), s.rescuesOn(who, monday+46))
	}
	page, err := s.Certificate(context.Background(), s.actor, c)
	if err != nil {
		t.Fatal(err)
	}
	if len(page.Steps) != 2 || page.Steps[0].Why != "2072 was typed for 2027" || page.Steps[0].Was.Until != monday+4500 || page.Steps[0].Is.Until != monday+45 {
		t.Errorf("the history is %+v, want the correction with what it was and why", page.Steps)
	}
}

func TestACorrectionReachesTheDaysBeforeAndAfterASuspension(t *testing.T) {
	s := empty(t)
	_, c := s.rescuer(monday + 4500)
	for _, m := range []founding.CertificateMove{
		{Move: credential.ToSuspend, Why: "a drill went wrong"},
		{Move: credential.ToCorrect, Why: "mistyped", Days: credential.Days{Completed: monday - 9, From: monday - 8, Until: monday + 45}},
	} {
		if err := s.move(c, m); err != nil {
			t.Fatal(m.Move, err)
		}
	}
	for _, on := range []civil.Day{monday, monday + 1} {
		if got := s.countedOn(c, on); got.Until != monday+45 || got.From != monday-8 || got.State != credential.Suspended {
			t.Errorf("on %s it is %+v, want it suspended and corrected", on, got)
		}
	}
	list, err := s.Certificate(context.Background(), s.actor, c)
	if err != nil || len(list.Steps) != 3 {
		t.Fatalf("%d steps, %v; want 3: one move is one step", len(list.Steps), err)
	}
	if err := s.move(c, founding.CertificateMove{Move: credential.ToStand, Why: "drilled again"}); err != nil {
		t.Fatal(err)
	}
	if got := s.countedOn(c, monday); got.State != credential.Valid || got.Until != monday+45 {
		t.Errorf("it stands again as %+v, want valid with the corrected day", got)
	}
}

func TestASuspendedCertificateEntitlesToNothingFromThatDay(t *testing.T) {
	for _, m := range []credential.Move{credential.ToSuspend, credential.ToWithdraw, credential.ToVoid} {
		s := empty(t)
		who, c := s.rescuer(monday + 90)
		if err := s.move(c, founding.CertificateMove{Move: m, Why: "seen"}); err != nil {
			t.Fatal(m, err)
		}
		if s.rescuesOn(who, monday) || s.rescuesOn(who, monday+30) {
			t.Errorf("%s: still entitles", m)
		}
	}
}

func TestAMoveOfACertificateIsRefusedWhole(t *testing.T) {
	s := empty(t)
	who, c := s.rescuer(monday + 90)
	same := credential.Days{Completed: monday - 9, From: monday - 9, Until: monday + 90}
	late := same
	late.Until = monday + 91
	for name, x := range map[string]struct {
		m     founding.CertificateMove
		field string
	}{
		"no reason":          {founding.CertificateMove{Move: credential.ToSuspend, Why: "  "}, "why"},
		"the same days":      {founding.CertificateMove{Move: credential.ToCorrect, Days: same, Why: "x"}, "until"},
		"no days":            {founding.CertificateMove{Move: credential.ToCorrect, Why: "x"}, "until"},
		"days and no reason": {founding.CertificateMove{Move: credential.ToCorrect, Days: late}, "why"},
	} {
		if err := s.move(c, x.m); fieldsOf(err)[x.field] == "" {
			t.Errorf("%s: %v %v, want a refusal at %s", name, err, fieldsOf(err), x.field)
		}
	}
	if err := s.move(c, founding.CertificateMove{Move: credential.ToStand, Why: "x"}); fault.Of(err) != fault.Conflict {
		t.Errorf("a valid one stands again: %v, want a conflict", err)
	}
	stale := founding.Of{ID: string(c), Rev: 0}
	if err := s.MoveCertificate(context.Background(), s.actor, stale, founding.CertificateMove{Move: credential.ToVoid, Why: "x"}, s.key()); fault.Of(err) != fault.Conflict {
		t.Errorf("from an older page: %v, want a conflict", err)
	}
	instructor := access.Actor{Roles: []access.Role{access.Instructor}, Today: monday}
	if err := s.MoveCertificate(context.Background(), instructor, founding.Of{ID: string(c), Rev: 1}, founding.CertificateMove{Move: credential.ToVoid, Why: "x"}, s.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("by an instructor: %v, want forbidden", err)
	}
	if got := s.rev("certificate", string(c)); got != 1 || !s.rescuesOn(who, monday+90) {
		t.Errorf("after refusals the certificate has revision %d", got)
	}
}
