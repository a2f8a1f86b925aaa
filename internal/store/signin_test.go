package store

import (
	"context"
	"testing"
	"time"

	"github.com/alexedwards/scs/v2"

	"rungbook/internal/civil"
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
