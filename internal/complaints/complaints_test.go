package complaints_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/complaints"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// signed is a signed session with trainees, taught by teacher or, where that is left
// open, by nobody of not.
func (o *office) signed(teacher id.Person, not ...id.Person) (out session.Session) {
	o.Helper()
	o.read(func(v *store.View) error {
		all, err := v.SessionsBetween(0, v.Now())
		for _, s := range all {
			free := !slices.ContainsFunc(not, func(p id.Person) bool { return slices.Contains(slices.Concat(s.Instructors, s.Rescuers, s.Others), p) })
			if s.State.Signed() && len(s.Trainees) > 0 && free && (teacher == "" || slices.Contains(s.Instructors, teacher)) {
				out = s
			}
		}
		return err
	})
	if out.ID == "" {
		o.Fatal("no such session")
	}
	return out
}

// came writes down an appeal against what was found of somebody in a session.
func (o *office) came(s session.Session) id.Complaint {
	o.Helper()
	of, err := o.Record(ctx, o.administrator, complaints.Came{Way: complaint.ByLetter, Received: tuesday, From: "Their employer",
		Filing: complaints.Filing{Kind: complaint.Appeal, Against: complaint.Matter{Session: s.ID, Trainee: s.Trainees[0]}, Text: "It was raining."}}, o.key())
	if err != nil {
		o.Fatal(err)
	}
	return of
}

func (o *office) one(a access.Actor, of id.Complaint) complaints.Page {
	o.Helper()
	p, err := o.One(ctx, a, of)
	if err != nil {
		o.Fatal(err)
	}
	return p
}

func TestAnAppealIsAnsweredByOneAndDecidedByAnother(t *testing.T) {
	o := open(t)
	of := o.came(o.signed("", o.administrator.Person, o.instructor.Person))
	if p := o.one(o.administrator, of); p.Act != nil || p.Read != nil || !p.Waits() || p.Texts[p.Complaint.Text] != "It was raining." {
		t.Fatalf("the administrator: act %v, read %v", p.Act, p.Read)
	}
	decide := complaints.Deciding{Outcome: complaint.NotUpheld, Reason: "The rain began later."}
	if err := o.Decide(ctx, o.instructor, of, 1, decide, o.key()); fault.Of(err) != fault.Invalid {
		t.Errorf("decided before anybody said who is involved: %v", err)
	}
	for _, err := range []error{
		o.Answer(ctx, o.administrator, of, 1, "It is here.", o.key()),
		o.Involve(ctx, o.administrator, of, 2, nil, true, o.key()),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	var no *complaint.NotImpartial
	if err := o.Decide(ctx, o.administrator, of, 3, decide, o.key()); !errors.As(err, &no) || !strings.Contains(no.Error(), "Gráinne Ní Mhaolchatha may not decide it: they answered it.") {
		t.Errorf("whoever answered decides: %v", err)
	}
	if p := o.one(o.administrator, of); p.Decide == nil || !slices.Contains(p.Decides, o.instructor.Person) || slices.Contains(p.Decides, o.administrator.Person) {
		t.Errorf("may decide: %v, the administrator %v", p.Decides, p.Decide)
	}
	if err := o.Decide(ctx, o.instructor, of, 2, decide, o.key()); fault.Of(err) != fault.Conflict {
		t.Errorf("decided on a page that has moved on: %v", err)
	}
	if err := o.Decide(ctx, o.instructor, of, 3, decide, o.key()); err != nil {
		t.Fatal(err)
	}
	if err := o.Answer(ctx, o.administrator, of, 4, "One more.", o.key()); fault.Of(err) != fault.Conflict {
		t.Errorf("answered after its decision: %v", err)
	}
	if err := o.Reopen(ctx, o.administrator, of, 4, "A picture was found.", o.key()); err != nil {
		t.Fatal(err)
	}
	p := o.one(o.instructor, of)
	if p.Decide == nil || len(p.Decides) != 0 || p.Complaint.State() != complaint.OpenAgain || len(p.Complaint.Decisions) != 1 {
		t.Errorf("open again: %v may decide it, the first one %v; %+v", p.Decides, p.Decide, p.Complaint)
	}
}

func TestWhoTaughtTheSessionNeitherReadsNorAnswersNorDecides(t *testing.T) {
	o := open(t)
	of := o.came(o.signed(o.instructor.Person, o.administrator.Person))
	if err := o.Involve(ctx, o.administrator, of, 1, nil, true, o.key()); err != nil {
		t.Fatal(err)
	}
	p := o.one(o.instructor, of)
	var no *complaint.NotImpartial
	if !errors.As(p.Read, &no) || !slices.Contains(no.Parts, complaint.TaughtIt) || p.Texts != nil || p.Ties != nil || p.Steps[len(p.Steps)-1].By != "" || p.Of != "" {
		t.Errorf("who taught reads it: %v, %d texts, %d ties", p.Read, len(p.Texts), len(p.Ties))
	}
	for name, err := range map[string]error{
		"answers": o.Answer(ctx, o.instructor, of, 2, "No.", o.key()),
		"names":   o.Involve(ctx, o.instructor, of, 2, nil, true, o.key()),
		"decides": o.Decide(ctx, o.instructor, of, 2, complaints.Deciding{Outcome: complaint.NotUpheld, Reason: "No."}, o.key()),
	} {
		if !errors.As(err, &no) {
			t.Errorf("who taught %s: %v", name, err)
		}
	}
	if err := o.Decide(ctx, o.administrator, of, 2, complaints.Deciding{Outcome: complaint.NotUpheld, Reason: "No."}, o.key()); err != nil {
		t.Errorf("who wrote a named letter down does not decide: %v", err)
	}
}

func TestAnAuditorSeesWhereItStandsAndNotAWordOfIt(t *testing.T) {
	o := open(t)
	of := o.came(o.signed("", o.administrator.Person))
	p := o.one(o.auditor, of)
	if p.Read == nil || p.Act == nil || p.Texts != nil || p.Ties != nil || p.Of != "" || len(p.Steps) != 1 {
		t.Errorf("an auditor reads: %+v", p.Texts)
	}
	if err := o.Answer(ctx, o.auditor, of, 1, "x", o.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("an auditor answers: %v", err)
	}
	o.read(func(v *store.View) error {
		e, err := v.EntriesOf("complaint", string(of))
		if err == nil && strings.Contains(string(e[0].Body), "It was raining") {
			t.Error("the ledger holds what was written")
		}
		return err
	})
}

func TestATraineeFilesAboutTheirOwnRecordAndReadsTheirOwnAlone(t *testing.T) {
	o := open(t)
	offers, err := o.Offers(ctx, o.trainee)
	if err != nil {
		t.Fatal(err)
	}
	own := slices.IndexFunc(offers.Matters, func(x complaints.Offer) bool { return x.Matter.Result() && x.Session.State.Signed() })
	notGiven := slices.IndexFunc(offers.Matters, func(x complaints.Offer) bool { return x.Matter.NotGiven() })
	if own < 0 || notGiven < 0 || len(offers.People) == 0 {
		t.Fatalf("offered: %+v, %v", offers.Matters, offers.People)
	}
	another := o.signed("")
	for name, bad := range map[string]complaints.Filing{
		"another's session":         {Kind: complaint.Appeal, Text: "x", Against: complaint.Matter{Session: another.ID}},
		"another's result":          {Kind: complaint.Appeal, Text: "x", Against: complaint.Matter{Session: another.ID, Trainee: another.Trainees[0]}},
		"about whom they never met": {Kind: complaint.Grievance, Text: "x", About: []id.Person{o.administrator.Person}},
		"without a word":            {Kind: complaint.Grievance, Text: "  "},
	} {
		if _, err := o.File(ctx, o.trainee, bad, o.key()); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	of, err := o.File(ctx, o.trainee, complaints.Filing{Kind: complaint.Appeal, Text: "Look again.", Against: offers.Matters[own].Matter, About: offers.People[:1]}, o.key())
	if err != nil {
		t.Fatal(err)
	}
	if _, err := o.File(ctx, o.trainee, complaints.Filing{Kind: complaint.Appeal, Text: "And this.", Against: offers.Matters[notGiven].Matter}, o.key()); err != nil {
		t.Fatal(err)
	}
	mine, err := o.Own(ctx, o.trainee)
	if err != nil || len(mine.List) != 2 || mine.List[1].Texts[mine.List[1].Complaint.Text] != "Look again." {
		t.Errorf("their own: %+v, %v", mine.List, err)
	}
	if theirs, err := o.Own(ctx, o.instructor); err != nil || len(theirs.List) != 0 {
		t.Errorf("another's own: %+v, %v", theirs.List, err)
	}
	if _, err := o.One(ctx, o.trainee, of); fault.Of(err) != fault.Forbidden {
		t.Errorf("the page of those who handle it: %v", err)
	}
}

func TestWhatTheRecordsSayOfACertificate(t *testing.T) {
	o := open(t)
	var c credential.Certificate
	o.read(func(v *store.View) error {
		all, _, err := v.Certificates(store.CertificateFilter{Kind: credential.ForProgramme})
		for _, r := range all {
			if r.Certificate.Trainee != "" {
				c = r.Certificate
			}
		}
		return err
	})
	of, err := o.Record(ctx, o.administrator, complaints.Came{Way: complaint.InPerson, Received: tuesday, Filer: c.Person,
		Filing: complaints.Filing{Kind: complaint.Appeal, Against: complaint.Matter{Certificate: c.ID}, Text: "The date is wrong."}}, o.key())
	if err != nil {
		t.Fatal(err)
	}
	p := o.one(o.auditor, of)
	if slices.Contains(p.Decides, o.administrator.Person) {
		t.Error("who gave the certificate decides the appeal against it")
	}
	if err := o.Decide(ctx, o.administrator, of, 1, complaints.Deciding{}, o.key()); !strings.Contains(fault.Message(err), "gave the certificate or changed it") {
		t.Errorf("who gave it: %v", err)
	}
}

func TestWhatCameNamesWhoFiledItOrThatNobodyIsKnown(t *testing.T) {
	o := open(t)
	base := complaints.Came{Way: complaint.ByPhone, Received: tuesday, Filing: complaints.Filing{Kind: complaint.Grievance, Text: "Cold tea."}}
	for name, change := range map[string]func(*complaints.Came){
		"neither":         func(*complaints.Came) {},
		"both":            func(c *complaints.Came) { c.Unnamed, c.From = true, "A neighbour" },
		"by a form":       func(c *complaints.Came) { c.Way, c.Unnamed = complaint.ByForm, true },
		"a day to come":   func(c *complaints.Came) { c.Received, c.Unnamed = tuesday+1, true },
		"without a thing": func(c *complaints.Came) { c.Unnamed, c.Text = true, "" },
	} {
		c := base
		change(&c)
		if _, err := o.Record(ctx, o.administrator, c, o.key()); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: %v", name, err)
		}
	}
	base.Unnamed = true
	of, err := o.Record(ctx, o.administrator, base, o.key())
	if err != nil {
		t.Fatal(err)
	}
	if p := o.one(o.administrator, of); p.Decide == nil || !strings.Contains(p.Decide.Error(), "nobody said who filed it") {
		t.Errorf("who wrote down what nobody is known to have filed decides it: %v", p.Decide)
	}
	if _, err := o.Record(ctx, o.trainee, base, o.key()); fault.Of(err) != fault.Forbidden {
		t.Errorf("a trainee writes down another's: %v", err)
	}
}

func TestTheDemosComplaintsShowEachStateAndKeepToTheRule(t *testing.T) {
	o := open(t)
	list, err := o.List(ctx, o.administrator)
	if err != nil {
		t.Fatal(err)
	}
	states, late := map[complaint.State]int{}, 0
	for _, r := range list.Rows {
		states[r.Complaint.State()]++
		if answer, _ := r.Late(tuesday); answer {
			late++
		}
		for _, d := range r.Complaint.Decisions {
			p := o.one(o.auditor, r.Complaint.ID)
			before := p.Complaint
			before.Decisions = nil
			if !before.Stated() || d.By == before.Recorded.By {
				t.Errorf("decided by %s: %+v", d.By, before)
			}
			if err := o.Reopen(ctx, o.administrator, r.Complaint.ID, p.Rev, "To try the rule.", o.key()); err != nil {
				t.Error(err)
			}
			err := o.Decide(ctx, o.instructor, r.Complaint.ID, p.Rev+1, complaints.Deciding{Outcome: complaint.Upheld, Reason: "x", Done: "x"}, o.key())
			if no := (*complaint.NotImpartial)(nil); !errors.As(err, &no) || !slices.Equal(no.Parts, []complaint.Part{complaint.DecidedIt}) {
				t.Errorf("the demo's decision was made by somebody who had another part in it: %v", err)
			}
		}
	}
	if states[complaint.Received] != 1 || states[complaint.Answered] != 1 || states[complaint.Decided] != 1 || late != 1 {
		t.Errorf("states %v, %d of them overdue", states, late)
	}
}

func TestDaysAreCountedAndYearsAddUp(t *testing.T) {
	o := open(t)
	r := complaints.Row{Complaint: complaint.Complaint{}, AnswerBy: tuesday, DecideBy: tuesday + 20}
	for _, c := range []struct {
		today            civil.Day
		answer, decision bool
		soon             bool
	}{{tuesday - 3, false, false, false}, {tuesday - 2, false, false, true}, {tuesday, false, false, true}, {tuesday + 1, true, false, true}, {tuesday + 20, true, false, true}, {tuesday + 21, true, true, true}} {
		if answer, decision := r.Late(c.today); answer != c.answer || decision != c.decision || r.Soon(c.today) != c.soon {
			t.Errorf("on %s: answer late %v, decision late %v, soon %v", c.today, answer, decision, r.Soon(c.today))
		}
	}
	unstated := complaints.Row{Complaint: complaint.Complaint{}}
	if answer, decision := unstated.Late(tuesday); !answer || !decision {
		t.Error("without a last day it is not due at once")
	}
	list, err := o.List(ctx, o.auditor)
	if err != nil {
		t.Fatal(err)
	}
	received, decided := 0, 0
	for _, y := range list.Years() {
		received, decided = received+y.Counts[complaints.CountReceived], decided+y.Counts[complaints.CountDecided]
		if y.Counts[complaints.CountDecided] != y.Counts[complaints.CountUpheld]+y.Counts[complaints.CountInPart]+y.Counts[complaints.CountNot]+y.Counts[complaints.CountWithdrawn] {
			t.Errorf("%d: the outcomes don't add up: %v", y.Year, y.Counts)
		}
		for of, n := range y.Counts {
			if got := len(list.Only(y.Year, of).Rows); got != n {
				t.Errorf("%d %s: %d rows behind the number %d", y.Year, of, got, n)
			}
		}
	}
	if received != len(list.Rows) || decided != 1 {
		t.Errorf("%d received and %d decided of %d", received, decided, len(list.Rows))
	}
}
