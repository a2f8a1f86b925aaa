package store

import (
	"fmt"
	"strings"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

func TestCertificatesAreListedByLastValidDayInPages(t *testing.T) {
	b := newBench(t)
	b.yard()
	today := b.Zone().DayOf(nine)
	give := func(number int, person id.Person, until civil.Day, programme id.Programme) credential.Certificate {
		return credential.Certificate{ID: id.Certificate(fmt.Sprint("c", number)), Number: number, Person: person, Kind: credential.ForProgramme,
			Programme: programme, From: today - 100, Until: until, State: credential.Valid}
	}
	medical := give(4, "osei", today+2, "")
	medical.Kind, medical.State = credential.Medical, credential.Suspended
	b.put(give(3, "tilde", today+1, "heights"), give(1, "osei", 0, "heights"), give(2, "brona", today+1, ""), medical)
	b.read(func(v *View) error {
		for name, c := range map[string]struct {
			filter CertificateFilter
			want   string
		}{
			"all":                 {CertificateFilter{}, "2 3 4 1"},
			"one a page":          {CertificateFilter{Limit: 1}, "2 3 4 1"},
			"two a page":          {CertificateFilter{Limit: 2}, "2 3 4 1"},
			"employer":            {CertificateFilter{Employer: "windward", Limit: 1}, "3 4 1"},
			"programme":           {CertificateFilter{Programme: "heights"}, "3 1"},
			"kind":                {CertificateFilter{Kind: credential.Medical}, "4"},
			"state":               {CertificateFilter{State: credential.Valid}, "2 3 1"},
			"from a day":          {CertificateFilter{UntilFrom: today + 2}, "4 1"},
			"to a day":            {CertificateFilter{UntilTo: today + 1}, "2 3"},
			"from a day to a day": {CertificateFilter{UntilFrom: today + 1, UntilTo: today + 1, Limit: 1}, "2 3"},
		} {
			got := pages(t, func(after string) ([]CertificateRow, string, error) {
				c.filter.AfterKey = after
				return v.Certificates(c.filter)
			})
			var numbers []string
			for _, r := range got {
				numbers = append(numbers, fmt.Sprint(r.Certificate.Number))
			}
			if strings.Join(numbers, " ") != c.want {
				t.Errorf("%s: got %v, want %s", name, numbers, c.want)
			}
		}
		rows, _, err := v.Certificates(CertificateFilter{Programme: "heights", Limit: 1})
		if err != nil || rows[0].Name != "Tilde Bjørnsen" || rows[0].Employer != "windward" {
			t.Errorf("got %+v, %v", rows, err)
		}
		for _, key := range []string{"x", "a\x1fb\x1fc", keyJoin} {
			if _, _, err := v.Certificates(CertificateFilter{AfterKey: key}); fault.Of(err) != fault.Invalid {
				t.Errorf("key %q: %v", key, err)
			}
		}
		of, err := v.CertificatesOf("osei")
		if err != nil || len(of) != 2 || of[0].Number != 4 || of[1].Number != 1 {
			t.Errorf("of osei: %v, %v", of, err)
		}
		if n, err := v.LastCertificateNumber(); err != nil || n != 4 {
			t.Errorf("last number %d, %v", n, err)
		}
		for _, n := range []int{0, 5} {
			if _, err := v.CertificateByNumber(n); fault.Of(err) != fault.NotFound {
				t.Errorf("number %d: %v", n, err)
			}
		}
		return nil
	})
}

func TestACertificateNumberIsGivenOnce(t *testing.T) {
	b := newBench(t)
	b.yard()
	one := credential.Certificate{ID: "one", Number: 7, Person: "tilde", Kind: credential.FirstAid, State: credential.Valid, From: 1}
	two := one
	two.ID = "two"
	b.put(one, one)
	if err := b.try(func(tx *Tx) error { return putAll(tx, two) }); fault.Of(err) != fault.Conflict {
		t.Errorf("the same number again: %v", err)
	}
	two.Number = 0
	three := two
	three.ID = "three"
	b.put(two, three) // credentials that carry none of ours
}

func TestACertificateTakenFromTheWrongPersonLeavesThem(t *testing.T) {
	b := newBench(t)
	b.yard()
	c := credential.Certificate{ID: "c", Number: 7, Person: "brona", Kind: credential.ToTeach, Exercise: "harness", State: credential.Valid, From: 1}
	held := func() (brona, ivo int) {
		b.read(func(v *View) error {
			r, err := v.Reference()
			brona, ivo = len(r.StaffCertificates["brona"]), len(r.StaffCertificates["ivo"])
			return err
		})
		return brona, ivo
	}
	b.put(c)
	if brona, ivo := held(); brona != 1 || ivo != 0 {
		t.Errorf("brona holds %d, ivo %d", brona, ivo)
	}
	c.Person = "ivo"
	b.put(c)
	if brona, ivo := held(); brona != 0 || ivo != 1 {
		t.Errorf("after the correction brona holds %d, ivo %d", brona, ivo)
	}
}
