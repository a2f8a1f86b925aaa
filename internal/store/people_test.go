package store

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
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

func TestHoursAreTheMinutesPresentLessThePausesWithin(t *testing.T) {
	b := newBench(t)
	b.yard()
	// The exercise lasts 90 minutes with a pause from 40 to 50.
	there := func(from, to civil.Minutes) session.Presence {
		return session.Presence{Who: "t-tilde", Part: session.AsTrainee, Mark: session.Present, Start: nine.Add(from), End: nine.Add(to)}
	}
	for name, c := range map[string]struct {
		presences []session.Presence
		want      civil.Minutes
	}{
		"the whole time":             {[]session.Presence{there(0, 90)}, 80},
		"left as the pause began":    {[]session.Presence{there(0, 40)}, 40},
		"left within the pause":      {[]session.Presence{there(0, 45)}, 40},
		"came after the pause":       {[]session.Presence{there(50, 90)}, 40},
		"away and back":              {[]session.Presence{there(0, 20), there(60, 90)}, 50},
		"with the instructor beside": {[]session.Presence{there(0, 40), {Who: "brona", Part: session.AsInstructor, Mark: session.Present, Start: nine, End: nine.Add(90)}}, 40},
	} {
		b.put(booked("s", nine), session.Attendance{Session: "s", Presences: c.presences})
		b.read(func(v *View) error {
			got, err := v.HoursOf("tilde")
			wantRow := HourRow{"t-tilde", "s", "harness", "deck-a", "tower", nine, c.want}
			if err != nil || len(got) != 1 || got[0] != wantRow {
				t.Errorf("%s: %+v, %v; want %+v", name, got, err, wantRow)
			}
			return nil
		})
	}
	down := booked("s", nine)
	down.State = session.StoodDown
	b.put(down)
	b.read(func(v *View) error {
		got, err := v.HoursOf("tilde")
		if err != nil || len(got) != 0 {
			t.Errorf("stood down: %v, %v", got, err)
		}
		return nil
	})
	b.put(booked("s", nine), session.Attendance{Session: "s", Presences: []session.Presence{{Who: "t-tilde", Part: session.AsTrainee, Mark: session.DidNotCome}}})
	b.read(func(v *View) error {
		got, err := v.HoursOf("tilde")
		if err != nil || len(got) != 0 {
			t.Errorf("did not come: %v, %v", got, err)
		}
		return nil
	})
}

func TestCompletionsFollowTheSignedSession(t *testing.T) {
	b := newBench(t)
	b.yard()
	s := booked("s", nine)
	s.State = session.SignedOff
	attendance := session.Attendance{Session: "s"}
	results := session.Results{Session: "s", By: "brona"}
	for _, who := range s.Trainees {
		attendance.Presences = append(attendance.Presences, session.Presence{Who: string(who), Part: session.AsTrainee, Mark: session.Present, Start: s.Start, End: s.End})
		results.Results = append(results.Results, session.Result{Trainee: who, Outcome: "harness-on", Result: session.Competent})
	}
	done := func(want ...Completion) {
		t.Helper()
		b.read(func(v *View) error {
			got, err := v.Completions("t-osei", "t-tilde")
			if err != nil || !slices.Equal(got, want) {
				t.Errorf("got %v, %v; want %v", got, err, want)
			}
			byPerson, err := v.CompletionsOfPersons("tilde", "osei")
			if err != nil || !slices.Equal(byPerson, want) {
				t.Errorf("by person: %v, %v", byPerson, err)
			}
			return nil
		})
	}
	osei := Completion{"t-osei", "osei", "harness", "s", s.End}
	tilde := Completion{"t-tilde", "tilde", "harness", "s", s.End}
	b.put(s)
	done()
	b.put(attendance)
	done()
	b.put(results)
	done(osei, tilde)
	results.Results[1].Result = session.NotYetCompetent
	b.put(results)
	done(osei)
	attendance.Presences[0] = session.Presence{Who: "t-osei", Part: session.AsTrainee, Mark: session.DidNotCome}
	b.put(attendance)
	done()
	b.read(func(v *View) error {
		got, err := v.At(v.Head()-2, v.Today()).Completions("t-osei", "t-tilde")
		if err != nil || len(got) != 2 {
			t.Errorf("as known before: %v, %v", got, err)
		}
		return nil
	})
	b.equalsRebuilt()
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

func TestAnAccountSignsInByItsAddress(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.do(func(tx *Tx) error {
		if err := putAll(tx, access.Account{ID: "a", Person: "brona", Roles: []access.Role{access.Instructor}}, access.Account{ID: "b", Person: "ivo"}); err != nil {
			return err
		}
		return tx.SetSecret("a", " Brona@Example.invalid ", "hash-1")
	})
	b.read(func(v *View) error {
		account, hash, err := v.AccountByEmail("brona@EXAMPLE.invalid")
		if err != nil || account.ID != "a" || hash != "hash-1" {
			t.Errorf("got %+v, %q, %v", account, hash, err)
		}
		if _, _, err := v.AccountByEmail("ivo@example.invalid"); fault.Of(err) != fault.NotFound {
			t.Errorf("an unknown address: %v", err)
		}
		if _, err := v.Account("none"); fault.Of(err) != fault.NotFound {
			t.Errorf("an unknown account: %v", err)
		}
		of, err := v.AccountsOf("ivo")
		if err != nil || len(of) != 1 || of[0].ID != "b" {
			t.Errorf("of ivo: %v, %v", of, err)
		}
		if email, err := v.EmailOf("a"); err != nil || email != "brona@example.invalid" {
			t.Errorf("address %q, %v", email, err)
		}
		n, err := v.CountAccounts()
		if n != 2 || err != nil {
			t.Errorf("%d accounts, %v", n, err)
		}
		return nil
	})
	if err := b.try(func(tx *Tx) error { return tx.SetSecret("b", "BRONA@example.invalid", "x") }); fault.Of(err) != fault.Conflict {
		t.Errorf("an address that is used: %v", err)
	}
	if err := b.try(func(tx *Tx) error { return tx.SetSecret("b", " ", "x") }); fault.Of(err) != fault.Invalid {
		t.Errorf("no address: %v", err)
	}
	b.do(func(tx *Tx) error { return tx.SetSecret("a", "brona@example.invalid", "hash-2") })
	b.read(func(v *View) error {
		_, hash, err := v.AccountByEmail("brona@example.invalid")
		if err != nil || hash != "hash-2" {
			t.Errorf("after a new password: %q, %v", hash, err)
		}
		return nil
	})
}

func TestTheSetupCodeWorksOnceAndOnlyBeforeTheFirstAccount(t *testing.T) {
	b := newBench(t)
	ctx := context.Background()
	old, err := b.SetupCode(ctx)
	if err != nil {
		t.Fatal(err)
	}
	code, err := b.SetupCode(ctx) // the program was started again
	if err != nil || code == old || len(code) != 19 {
		t.Fatalf("codes %q, %q, %v", old, code, err)
	}
	use := func(code string) error {
		return b.try(func(tx *Tx) error {
			if err := tx.UseSetupCode(code); err != nil {
				return err
			}
			return putAll(tx, people.Person{ID: "brona"}, access.Account{ID: id.Account(tx.ID()), Person: "brona"})
		})
	}
	for _, wrong := range []string{old, "", code + "x"} {
		if err := use(wrong); fault.Of(err) != fault.Invalid {
			t.Errorf("code %q: %v", wrong, err)
		}
	}
	if strings.Contains(b.snapshot(), strings.ReplaceAll(code, "-", "")) {
		t.Error("the code itself is kept")
	}
	if err := use(strings.ToUpper(strings.ReplaceAll(code, "-", " "))); err != nil {
		t.Error(err)
	}
	if err := use(code); fault.Of(err) != fault.Gone {
		t.Errorf("a second time: %v", err)
	}
	if again, err := b.SetupCode(ctx); err != nil || again != "" {
		t.Errorf("a code with an account there: %q, %v", again, err)
	}
}
