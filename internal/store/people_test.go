package store

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

func TestNamesAreFoundHoweverTheyAreTyped(t *testing.T) {
	for name, typed := range map[string]string{
		"Bróna Keane": "BRONA", "Ivo Šarić": "saric", "Tilde Bjørnsen": "bjornsen", "Łucja Wójcik": "lucja wojcik",
		"Jürgen Groß": "gross", "Siân  O’Hara": "sian o'hara", "e\u0301mile": "émile", "Þóra": "thora", "İpek": "ipek", "Ngũgĩ": "ngugi",
	} {
		if !strings.Contains(fold(name), fold(typed)) {
			t.Errorf("%q folds to %q, which holds no %q", name, fold(name), fold(typed))
		}
	}
	if fold(" \t ") != "" || fold("Ann\x1fa") != "anna" {
		t.Errorf("%q, %q", fold(" \t "), fold("Ann\x1fa"))
	}
	rapid.Check(t, func(r *rapid.T) {
		s := rapid.String().Draw(r, "name")
		if fold(fold(s)) != fold(s) || strings.Contains(fold(s), keyJoin) {
			r.Fatalf("%q folds to %q and then to %q", s, fold(s), fold(fold(s)))
		}
	})
}

// pages walks all pages of a list.
func pages[T any](t *testing.T, read func(after string) ([]T, string, error)) (all []T) {
	t.Helper()
	for after, n := "", 0; ; n++ {
		rows, next, err := read(after)
		if err != nil || n > 100 {
			t.Fatalf("page %d: %v", n, err)
		}
		all = append(all, rows...)
		if next == "" {
			return all
		}
		after = next
	}
}

func names(rows []PersonRow) (out []string) {
	for _, r := range rows {
		out = append(out, r.Name)
	}
	return out
}

func TestPeopleAreListedByNameInPages(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.do(func(tx *Tx) error { // two of one name, and one whose name was erased
		return putAll(tx, people.Person{ID: "twin-b", Name: tx.Seal("twin-b", "name", "Osei Darko")},
			people.Person{ID: "twin-a", Name: tx.Seal("twin-a", "name", "osei  darko")}, people.Person{ID: "erased"})
	})
	b.read(func(v *View) error {
		everybody := []string{"", "Bróna Keane", "Ivo Šarić", "Osei Darko", "osei  darko", "Osei Darko", "Tilde Bjørnsen"}
		for limit := range 8 {
			got := pages(t, func(after string) ([]PersonRow, string, error) {
				return v.Persons(PersonFilter{AfterKey: after, Limit: limit})
			})
			if !slices.Equal(names(got), everybody) {
				t.Errorf("pages of %d: %q", limit, names(got))
			}
		}
		for name, c := range map[string]struct {
			filter PersonFilter
			want   []string
		}{
			"part of a name": {PersonFilter{NamePart: "DARK"}, []string{"Osei Darko", "osei  darko", "Osei Darko"}},
			"employer":       {PersonFilter{Employer: "windward"}, []string{"Osei Darko", "Tilde Bjørnsen"}},
			"intake":         {PersonFilter{Intake: "march"}, []string{"Osei Darko", "Tilde Bjørnsen"}},
			"all of them":    {PersonFilter{NamePart: "jorn", Employer: "windward", Intake: "march"}, []string{"Tilde Bjørnsen"}},
			"nobody":         {PersonFilter{NamePart: "%"}, nil},
		} {
			got, _, err := v.Persons(c.filter)
			if err != nil || !slices.Equal(names(got), c.want) {
				t.Errorf("%s: %q, %v", name, names(got), err)
			}
		}
		rows, _, err := v.Persons(PersonFilter{NamePart: "tilde"})
		if r := rows[0]; err != nil || r.Employer != "windward" || !slices.Equal(r.Intakes, []id.Intake{"march"}) || r.Staff {
			t.Errorf("tilde: %+v, %v", r, err)
		}
		rows, _, err = v.Persons(PersonFilter{NamePart: "brona"})
		if err != nil || !rows[0].Staff {
			t.Errorf("brona: %+v, %v", rows, err)
		}
		return nil
	})
}

func TestANewNameTakesThePlaceOfTheOld(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.do(func(tx *Tx) error {
		return putAll(tx, people.Person{ID: "brona", Name: tx.Seal("brona", "name", "Bróna Nolan")})
	})
	b.read(func(v *View) error {
		got, err := v.PersonNames("brona", "nobody")
		if err != nil || len(got) != 1 || got["brona"] != "Bróna Nolan" {
			t.Errorf("now: %v, %v", got, err)
		}
		r, err := v.Reference()
		if err != nil || r.StaffName("brona") != "Bróna Nolan" {
			t.Errorf("as staff: %q, %v", r.StaffName("brona"), err)
		}
		got, err = v.At(v.Head()-1, v.Today()).PersonNames("brona")
		if err != nil || got["brona"] != "Bróna Keane" {
			t.Errorf("before: %v, %v", got, err)
		}
		trainees, err := v.TraineeNames("t-tilde", "none")
		if err != nil || len(trainees) != 1 || trainees["t-tilde"] != "Tilde Bjørnsen" {
			t.Errorf("trainees: %v, %v", trainees, err)
		}
		rows, _, err := v.Persons(PersonFilter{NamePart: "keane"})
		if err != nil || len(rows) != 0 {
			t.Errorf("still listed under the old name: %v, %v", rows, err)
		}
		return nil
	})
}

func TestNoNameStandsOutsideThePrivateTables(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.do(func(tx *Tx) error {
		s := booked("s", nine)
		s.Note = tx.Seal("s", "note", "Bjørnsen asked for the left side")
		return putAll(tx, s)
	})
	private := map[string]bool{"private_value": true, "person_name": true}
	table := ""
	found := 0
	for line := range strings.Lines(b.snapshot()) {
		line = strings.TrimSpace(line)
		if !strings.Contains(line, "=") {
			table = line
			continue
		}
		for _, word := range []string{"Bjørnsen", "bjornsen", "Carrowmoyle", "Windward"} {
			if strings.Contains(line, word) {
				found++
				if !private[table] {
					t.Errorf("%s holds %s", table, word)
				}
			}
		}
	}
	if found < 4 {
		t.Errorf("only %d names were found anywhere", found)
	}
}

func TestSealedTextOpensOnlyThroughItsCommitment(t *testing.T) {
	b := newBench(t)
	var one, two, none id.Commitment
	b.do(func(tx *Tx) error {
		one, two, none = tx.Seal("x", "note", "same"), tx.Seal("x", "note", "same"), tx.Seal("x", "note", "")
		return nil
	})
	if one == two || none != "" || len(one) != 64 {
		t.Errorf("commitments %q, %q, %q", one, two, none)
	}
	b.read(func(v *View) error {
		got, err := v.Texts(one, two, "unknown")
		if err != nil || len(got) != 2 || got[one] != "same" || got[two] != "same" {
			t.Errorf("got %v, %v", got, err)
		}
		return nil
	})
	err := b.try(func(tx *Tx) error { tx.Seal("x", "note", "\xff"); return nil })
	if fault.Of(err) != fault.Invalid {
		t.Errorf("text that is not UTF-8: %v", err)
	}
}

func TestSearchFindsPeopleCertificatesPlacesAndTheirSessions(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.put(booked("s", nine), credential.Certificate{ID: "c", Number: 1042, Person: "tilde", Kind: credential.FirstAid, State: credential.Valid, From: 1})
	b.read(func(v *View) error {
		for q, want := range map[string][]Hit{
			"šarić": {{"person", "ivo", "Ivo Šarić", ""}},
			"BJORN": {{"person", "tilde", "Tilde Bjørnsen", "Windward Upkeep"}},
			"1042":  {{"certificate", "c", "1042", "Tilde Bjørnsen"}},
			"deck a": {{"station", "deck-a", "Deck A", "Tower platform"},
				{"session", "s", "Harness basics", "2027-03-01T09:00:00+00:00"}},
			"basics": {{"exercise", "harness", "Harness basics", ""}, {"session", "s", "Harness basics", "2027-03-01T09:00:00+00:00"}},
			"zzz":    nil, " ": nil,
		} {
			got, err := v.Search(q, 10)
			if err != nil || !slices.Equal(got, want) {
				t.Errorf("%q: got %v, %v; want %v", q, got, err, want)
			}
		}
		if got, err := v.Search("e", 2); err != nil || len(got) != 2 {
			t.Errorf("at most two: %v, %v", got, err)
		}
		return nil
	})
}
