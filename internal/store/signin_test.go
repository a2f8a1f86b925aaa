package store

import (
	"context"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
)

var _ scs.CtxStore = (*SignIns)(nil)

func TestASignInIsKeptUntilItExpiresOrEnds(t *testing.T) {
	b := newBench(t)
	s := b.SignIns()
	soon := civil.Real().Add(time.Hour)
	if err := s.Commit("token", []byte("data"), soon); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit("token", []byte("more"), soon); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit("past", []byte("x"), civil.Real().Add(-time.Second)); err != nil {
		t.Fatal(err)
	}
	b.reopen()
	s = b.SignIns()
	for token, want := range map[string]string{"token": "more", "past": "", "other": ""} {
		got, found, err := s.Find(token)
		if err != nil || string(got) != want || found != (want != "") {
			t.Errorf("%s: %q, %t, %v", token, got, found, err)
		}
	}
	if n, err := s.Count(context.Background()); err != nil || n != 1 {
		t.Errorf("%d sign-ins count (%v), want the one that has not expired", n, err)
	}
	for range 2 {
		if err := s.Delete("token"); err != nil {
			t.Error(err)
		}
	}
	if _, found, err := s.Find("token"); found || err != nil {
		t.Errorf("after it ended: %t, %v", found, err)
	}
	if err := s.Commit("next", nil, soon); err != nil {
		t.Fatal(err)
	}
	got, found, err := s.FindCtx(context.Background(), "next")
	if err != nil || !found || len(got) != 0 {
		t.Errorf("no data: %q, %t, %v", got, found, err)
	}
	var kept int
	if err := s.db.QueryRow(`SELECT count(*) FROM sign_in WHERE data = x'78'`).Scan(&kept); err != nil || kept != 0 {
		t.Errorf("%d expired ones are kept, %v", kept, err)
	}
}

func TestWhoeverIsSignedInReadsOnWhileNothingCanBeWritten(t *testing.T) {
	b := newBench(t)
	s := b.SignIns()
	soon := civil.Real().Add(time.Hour)
	if err := s.Commit("token", []byte("data"), soon); err != nil {
		t.Fatal(err)
	}
	s.db.SetMaxOpenConns(1)
	if _, err := s.db.Exec(`PRAGMA query_only = ON`); err != nil {
		t.Fatal(err)
	}
	if err := s.Commit("token", []byte("more"), soon.Add(time.Hour)); err != nil {
		t.Errorf("a sign-in that is kept: %v, want it to go on", err)
	}
	if got, found, err := s.Find("token"); err != nil || !found || string(got) != "data" {
		t.Errorf("it is %q, %t, %v; want what it was", got, found, err)
	}
	if err := s.Commit("new", []byte("x"), soon); fault.Of(err) != fault.Unusable {
		t.Errorf("a new one: %v, want that nothing can be written", err)
	}
	if err := s.Delete("token"); fault.Of(err) != fault.Unusable {
		t.Errorf("one that is to end: %v, want that it has not", err)
	}
}
