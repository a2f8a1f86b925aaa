package complaint_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// appeal is one that was received, with the involved stated.
func appeal() complaint.Complaint {
	return complaint.Complaint{ID: "a", Kind: complaint.Appeal, Way: complaint.ByForm, Received: 740000, Filer: "filer", Text: "text",
		Against: complaint.Matter{Session: "s", Trainee: "t"}, Recorded: complaint.Signed{By: "filer", At: 1}, About: []id.Person{"about"},
		Involved: []complaint.Involved{{By: "clerk", At: 2, People: []id.Person{"named"}}},
		Answers:  []complaint.Answer{{By: "answerer", At: 3, Text: "answer"}}}
}

var ran = []complaint.Tie{{Person: "teacher", Part: complaint.TaughtIt}, {Person: "rescuer", Part: complaint.StoodBy}, {Person: "guest", Part: complaint.WasThere},
	{Person: "caller", Part: complaint.RanIt}, {Person: "signer", Part: complaint.SignedIt}, {Person: "corrector", Part: complaint.CorrectedIt},
	{Person: "acceptor", Part: complaint.AcceptedIt}, {Person: "giver", Part: complaint.GaveIt}, {Person: "", Part: complaint.RanIt}}

var yes = complaint.Decision{By: "clerk", At: 9, Outcome: complaint.Upheld, Reason: "why", Done: "what"}

func TestOnlyWhoeverHadNoPartInItDecides(t *testing.T) {
	unnamed := appeal()
	unnamed.Filer, unnamed.Recorded.By, unnamed.Way = "", "recorder", complaint.ByPhone
	named := unnamed
	named.From = "a neighbour"
	again := appeal()
	again.Decisions = []complaint.Decision{{By: "before", Outcome: complaint.NotUpheld, Reason: "why"}}
	again.Reopened = []complaint.Reopening{{By: "opener", Reason: "news"}}
	for _, c := range []struct {
		who  id.Person
		of   complaint.Complaint
		part complaint.Part // "" = may decide
	}{
		{"clerk", appeal(), ""}, {"stranger", appeal(), ""}, {"clerk", again, ""}, {"recorder", named, ""},
		{"teacher", appeal(), complaint.TaughtIt}, {"rescuer", appeal(), complaint.StoodBy}, {"guest", appeal(), complaint.WasThere},
		{"caller", appeal(), complaint.RanIt}, {"signer", appeal(), complaint.SignedIt}, {"corrector", appeal(), complaint.CorrectedIt},
		{"acceptor", appeal(), complaint.AcceptedIt}, {"giver", appeal(), complaint.GaveIt},
		{"about", appeal(), complaint.IsAbout}, {"named", appeal(), complaint.IsNamed}, {"filer", appeal(), complaint.FiledIt},
		{"answerer", appeal(), complaint.AnsweredIt}, {"before", again, complaint.DecidedIt}, {"opener", again, complaint.OpenedItAgain},
		{"recorder", unnamed, complaint.WroteUnnamed},
	} {
		t.Run(string(c.who)+" "+string(c.part), func(t *testing.T) {
			d := yes
			d.By = c.who
			after, err := c.of.DecidedWith(d, ran)
			if c.part == "" {
				if err != nil || after.Open() {
					t.Fatalf("refused: %v", err)
				}
				return
			}
			var no *complaint.NotImpartial
			if !errors.As(err, &no) || no.Person != c.who || !slices.Equal(no.Parts, []complaint.Part{c.part}) {
				t.Fatalf("got %v, want a refusal for %s", err, c.part)
			}
			no.Name = "Ngozi"
			if fault.Of(err) != fault.Forbidden || !strings.Contains(fault.Message(err), "Ngozi may not decide it: they "+c.part.Words()) {
				t.Errorf("says %q", fault.Message(err))
			}
			if !after.Open() {
				t.Error("refused, and decided")
			}
		})
	}
}

func TestWhoHadAPartInTheMatterNeitherReadsNorActs(t *testing.T) {
	c := appeal()
	for who, want := range map[id.Person]struct{ read, act bool }{
		"teacher": {}, "about": {}, "named": {}, "signer": {},
		"filer": {read: true}, "answerer": {true, true}, "clerk": {true, true},
	} {
		if got := c.MayRead(who, ran) == nil; got != want.read {
			t.Errorf("%s reads: %v", who, got)
		}
		if got := c.MayAct(who, ran) == nil; got != want.act {
			t.Errorf("%s acts: %v", who, got)
		}
	}
	if c.Filer = "teacher"; c.MayRead("teacher", ran) != nil {
		t.Error("who filed it does not read their own")
	}
}

func TestNothingIsDecidedUntilSomebodySaidWhoIsInvolved(t *testing.T) {
	c := appeal()
	c.Involved = nil
	var form *fault.Form
	if _, err := c.DecidedWith(yes, ran); !errors.As(err, &form) || form.Fields[""] == "" {
		t.Errorf("decided though nobody said who is involved: %v", err)
	}
	c, err := c.WithInvolved(complaint.Involved{By: "clerk", At: 4}, true, ran)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := c.DecidedWith(yes, ran); err != nil {
		t.Errorf("nobody is involved, and it is refused: %v", err)
	}
}

func TestAMoveSaysWhatIsMissing(t *testing.T) {
	c, shut := appeal(), appeal()
	shut.Decisions = []complaint.Decision{yes}
	field := func(err error) (out []string) {
		var form *fault.Form
		var one *fault.Error
		switch {
		case errors.As(err, &form):
			for name := range form.Fields {
				out = append(out, name)
			}
		case errors.As(err, &one):
			out = append(out, one.Field)
		}
		slices.Sort(out)
		return out
	}
	no := func(d complaint.Decision, change func(*complaint.Decision)) complaint.Decision { change(&d); return d }
	_, empty := c.DecidedWith(no(yes, func(d *complaint.Decision) { d.Outcome, d.Reason, d.Done = "maybe", "", "" }), nil)
	_, undone := c.DecidedWith(no(yes, func(d *complaint.Decision) { d.Done = "" }), nil)
	_, refused := c.DecidedWith(no(yes, func(d *complaint.Decision) { d.Outcome, d.Done = complaint.NotUpheld, "" }), nil)
	_, unwritten := c.AnsweredWith(complaint.Answer{By: "clerk"}, nil)
	_, both := c.WithInvolved(complaint.Involved{By: "clerk", People: []id.Person{"x"}}, true, nil)
	_, neither := c.WithInvolved(complaint.Involved{By: "clerk", People: []id.Person{"named"}}, false, nil)
	_, open := c.OpenedAgain(complaint.Reopening{By: "clerk", Reason: "news"}, nil)
	_, why := shut.OpenedAgain(complaint.Reopening{By: "other"}, nil)
	_, late := shut.AnsweredWith(complaint.Answer{By: "other", Text: "x"}, nil)
	for name, x := range map[string]struct {
		err  error
		want []string
	}{
		"an empty decision":                  {empty, []string{"outcome", "reason"}},
		"upheld, and nothing is done":        {undone, []string{"done"}},
		"not upheld, and nothing is done":    {refused, nil},
		"an empty answer":                    {unwritten, []string{"answer"}},
		"somebody and nobody involved":       {both, []string{"nobody"}},
		"whom it names already, and no more": {neither, []string{"involved"}},
		"what is open is opened":             {open, []string{""}},
		"opened without a reason":            {why, []string{"reason"}},
		"answered after its decision":        {late, []string{""}},
	} {
		if got := field(x.err); !slices.Equal(got, x.want) {
			t.Errorf("%s: %v at %q, want %q", name, x.err, got, x.want)
		}
	}
}

func TestWhatComesInIsChecked(t *testing.T) {
	ok := complaint.Complaint{Kind: complaint.Appeal, Way: complaint.ByLetter, Received: 740000, Text: "text", From: "somebody"}
	if err := ok.Check(740000); err != nil {
		t.Fatal(err)
	}
	for field, change := range map[string]func(*complaint.Complaint){
		"kind": func(c *complaint.Complaint) { c.Kind = "wish" }, "way": func(c *complaint.Complaint) { c.Way = "pigeon" },
		"received": func(c *complaint.Complaint) { c.Received = 740001 }, "text": func(c *complaint.Complaint) { c.Text = "" },
		"from":    func(c *complaint.Complaint) { c.Filer = "filer" },
		"against": func(c *complaint.Complaint) { c.Against = complaint.Matter{Session: "s", Certificate: "c"} },
	} {
		c := ok
		change(&c)
		var form *fault.Form
		if err := c.Check(740000); !errors.As(err, &form) || len(form.Fields) != 1 || form.Fields[field] == "" {
			t.Errorf("%s: %v", field, err)
		}
	}
}

// TestNobodyInvolvedEverDecidesAndWhatIsDecidedStands plays random acts, refused ones
// too, and asks after each that whoever decided had no part in it before, and that
// what was written stands.
func TestNobodyInvolvedEverDecidesAndWhatIsDecidedStands(t *testing.T) {
	all := []id.Person{"a", "b", "c", "d", "e", "f"}
	anybody := rapid.SampledFrom(all)
	text := rapid.SampledFrom([]id.Commitment{"", "text"})
	rapid.Check(t, func(t *rapid.T) {
		var record []complaint.Tie
		for range rapid.IntRange(0, 2).Draw(t, "ties") {
			record = append(record, complaint.Tie{Person: anybody.Draw(t, "who"), Part: rapid.SampledFrom(complaint.Parts()[:8]).Draw(t, "part")})
		}
		c := complaint.Complaint{Kind: complaint.Grievance, Recorded: complaint.Signed{By: anybody.Draw(t, "recorded by")}, Text: "text",
			Filer: rapid.SampledFrom(append([]id.Person{""}, all...)).Draw(t, "filer"), About: rapid.SliceOfN(anybody, 0, 1).Draw(t, "about")}
		for i := range rapid.IntRange(1, 25).Draw(t, "acts") {
			before, by, at := c, anybody.Draw(t, "by"), civil.Instant(i)
			var err error
			act := rapid.SampledFrom([]string{"answer", "involve", "decide", "decide", "again"}).Draw(t, "act")
			switch act {
			case "answer":
				c, err = c.AnsweredWith(complaint.Answer{By: by, At: at, Text: text.Draw(t, "text")}, record)
			case "involve":
				c, err = c.WithInvolved(complaint.Involved{By: by, At: at, People: rapid.SliceOfN(anybody, 0, 2).Draw(t, "involved")}, rapid.Bool().Draw(t, "nobody"), record)
			case "decide":
				c, err = c.DecidedWith(complaint.Decision{By: by, At: at, Outcome: rapid.SampledFrom(complaint.Outcomes()).Draw(t, "outcome"), Reason: text.Draw(t, "reason"), Done: "done"}, record)
			case "again":
				c, err = c.OpenedAgain(complaint.Reopening{By: by, At: at, Reason: text.Draw(t, "reason")}, record)
			}
			judge(t, act, before, c, by, record, err)
		}
	})
}

// judge says again, in other words than the rule, what may have come of an act.
func judge(t *rapid.T, act string, before, after complaint.Complaint, by id.Person, record []complaint.Tie, err error) {
	grown := func(what string, was, is int, kept bool) {
		if is < was || !kept {
			t.Fatalf("%s: what stood of the %s is gone", act, what)
		}
	}
	grown("answers", len(before.Answers), len(after.Answers), slices.Equal(before.Answers, after.Answers[:len(before.Answers)]))
	grown("decisions", len(before.Decisions), len(after.Decisions), slices.Equal(before.Decisions, after.Decisions[:len(before.Decisions)]))
	grown("reopenings", len(before.Reopened), len(after.Reopened), slices.Equal(before.Reopened, after.Reopened[:len(before.Reopened)]))
	grown("involved", len(before.Involved), len(after.Involved), true)
	if err != nil && len(after.Texts()) != len(before.Texts()) {
		t.Fatalf("%s was refused and changed something: %v", act, err)
	}
	if !before.Open() && err == nil && act != "again" {
		t.Fatalf("%s passed though it was decided", act)
	}
	if !before.Open() && after.Open() && len(after.Reopened) != len(before.Reopened)+1 {
		t.Fatal("open again without a reason on record")
	}
	if len(after.Decisions) == len(before.Decisions) {
		return
	}
	had := by == before.Filer || slices.Contains(before.About, by) || before.Filer == "" && by == before.Recorded.By || len(before.Involved) == 0
	had = had || slices.ContainsFunc(record, func(x complaint.Tie) bool { return x.Person == by })
	had = had || slices.ContainsFunc(before.Answers, func(x complaint.Answer) bool { return x.By == by })
	had = had || slices.ContainsFunc(before.Decisions, func(x complaint.Decision) bool { return x.By == by })
	had = had || slices.ContainsFunc(before.Reopened, func(x complaint.Reopening) bool { return x.By == by })
	had = had || slices.ContainsFunc(before.Involved, func(x complaint.Involved) bool { return slices.Contains(x.People, by) })
	if had {
		t.Fatalf("%s decided and had a part in it, or nobody said who had: %+v, by the records %v", by, before, record)
	}
}

func TestWhoFiledWithoutAnAccountIsToldOfEachDecisionOnce(t *testing.T) {
	z, err := civil.LoadZone("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	at := z.At(740010, 600)
	letter := appeal()
	letter.Filer, letter.From, letter.Way = "", "an employer", complaint.ByLetter
	d := yes
	d.At = z.At(740009, 600)
	told := complaint.Telling{By: "clerk", At: at, On: 740010, How: complaint.ByPhone}
	if _, err := letter.ToldTo(told, z, nil); fault.Of(err) != fault.Conflict || letter.ToTell(false) {
		t.Errorf("told before it is decided: %v", err)
	}
	decided, err := letter.DecidedWith(d, nil)
	if err != nil {
		t.Fatal(err)
	}
	if !decided.ToTell(false) || decided.ToTell(true) {
		t.Error("who has no account is not to be told, or who has one is")
	}
	unnamed := decided
	unnamed.From = ""
	if _, err := unnamed.ToldTo(told, z, nil); fault.Of(err) != fault.Conflict || unnamed.ToTell(false) {
		t.Errorf("nobody is known, and they are told: %v", err)
	}
	for name, c := range map[string]struct {
		change func(*complaint.Telling)
		want   fault.Kind
	}{
		"the day before":    {func(x *complaint.Telling) { x.On = 740008 }, fault.Invalid},
		"the day after":     {func(x *complaint.Telling) { x.On = 740011 }, fault.Invalid},
		"no way":            {func(x *complaint.Telling) { x.How = "" }, fault.Invalid},
		"by a form":         {func(x *complaint.Telling) { x.How = complaint.ByForm }, fault.Invalid},
		"by who is about":   {func(x *complaint.Telling) { x.By = "about" }, fault.Forbidden},
		"on the day itself": {func(x *complaint.Telling) { x.On = 740009 }, 0},
		"today":             {func(*complaint.Telling) {}, 0},
	} {
		x := told
		c.change(&x)
		after, err := decided.ToldTo(x, z, nil)
		if c.want != 0 && fault.Of(err) != c.want || c.want == 0 && (err != nil || after.ToTell(false) || after.Last() != at) {
			t.Errorf("%s: %v", name, err)
		}
	}
	after, _ := decided.ToldTo(told, z, nil)
	if decided.Decisions[0].Told != nil {
		t.Error("what stood before was changed in place")
	}
	if _, err := after.ToldTo(told, z, nil); fault.Of(err) != fault.Conflict {
		t.Errorf("told twice: %v", err)
	}
	again, err := after.OpenedAgain(complaint.Reopening{By: "opener", At: at, Reason: "news"}, nil)
	if err != nil || again.ToTell(false) {
		t.Fatalf("opened again: %v", err)
	}
	second := d
	second.By, second.At = "third", at
	if again, err = again.DecidedWith(second, nil); err != nil || !again.ToTell(false) {
		t.Errorf("the second decision is not to be told: %v", err)
	}
}

func TestAnOpenAppealIsAgainstWhatItNamesAndAComplaintIsNot(t *testing.T) {
	result, certificate, session := appeal(), appeal(), appeal()
	certificate.Against = complaint.Matter{Certificate: "c"}
	session.Against = complaint.Matter{Session: "s"}
	grievance, told := appeal(), appeal()
	grievance.Kind, told.Against = complaint.Grievance, complaint.Matter{}
	decided, _ := appeal().DecidedWith(yes, nil)
	for name, c := range map[string]struct {
		of   complaint.Complaint
		m    complaint.Matter
		want bool
	}{
		"a result":           {result, complaint.Matter{Session: "s"}, true},
		"a session":          {session, complaint.Matter{Session: "s"}, true},
		"another session":    {result, complaint.Matter{Session: "x"}, false},
		"a certificate":      {certificate, complaint.Matter{Certificate: "c"}, true},
		"of a session":       {certificate, complaint.Matter{Session: "s"}, false},
		"a complaint":        {grievance, complaint.Matter{Session: "s"}, false},
		"told in words":      {told, complaint.Matter{}, false},
		"decided, and so no": {decided, complaint.Matter{Session: "s"}, false},
	} {
		if got := c.of.AppealsAgainst(c.m); got != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}
