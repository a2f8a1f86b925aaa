package access

import (
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/people"
	"rungbook/internal/verdict"
)

const today = civil.Day(740000)

func actor(roles ...Role) Actor {
	return Actor{Account: "acc", Person: "me", Roles: roles, Today: today}
}

func appointed(fields ...verdict.Field) Actor {
	a := actor()
	for _, f := range fields {
		a.Appointments = append(a.Appointments, people.Appointment{Person: "me", Field: f, From: today, Until: today})
	}
	return a
}

func TestAnAuditorChangesNothingAnywhere(t *testing.T) {
	seen := 0
	for _, r := range Table() {
		if r.Writes && !OfOneself(r.Action) && May(actor(Auditor), r.Action) {
			t.Errorf("an auditor may %s", r.Say)
		}
		if !r.Writes && May(actor(Auditor), r.Action) {
			seen++
		}
	}
	if seen == 0 {
		t.Error("an auditor sees nothing")
	}
	if !May(actor(Auditor), ChangeOwnPassword) {
		t.Error("an auditor can't change their own password")
	}
}

func TestATraineeSeesTheirOwnPathReportsWhatGoesWrongCountersignsAndComplains(t *testing.T) {
	var may []Action
	for _, r := range Table() {
		if May(actor(TraineeRole), r.Action) {
			may = append(may, r.Action)
		}
	}
	if want := []Action{SeeOwnPath, ChangeOwnPassword, ReportIncident, Countersign, FileComplaint}; !slices.Equal(may, want) {
		t.Errorf("a trainee may %v, want %v", may, want)
	}
	if !MaySeePerson(actor(TraineeRole), "me") || MaySeePerson(actor(TraineeRole), "you") {
		t.Error("a trainee sees another person's record, or not their own")
	}
	if MaySeePerson(Actor{Roles: []Role{TraineeRole}}, "") {
		t.Error("a trainee account without a person sees a record without an id")
	}
	if _, err := RequirePerson(actor(TraineeRole), "you"); fault.Of(err) != fault.NotFound {
		t.Errorf("another's record: got %v, want not found", err)
	}
	if role, err := RequirePerson(actor(TraineeRole), "me"); err != nil || role != TraineeRole {
		t.Errorf("their own record: got %s, %v", role, err)
	}
}

func TestTheTableIsWhole(t *testing.T) {
	seen := map[Action]bool{}
	for _, r := range Table() {
		if seen[r.Action] {
			t.Errorf("%s stands twice", r.Action)
		}
		seen[r.Action] = true
		if r.Say == "" || len(r.Roles)+len(r.Fields) == 0 {
			t.Errorf("%s: nobody may do it, or it has no words", r.Action)
		}
		for _, role := range r.Roles {
			if !slices.Contains(Roles(), role) {
				t.Errorf("%s names the role %q, which no account holds", r.Action, role)
			}
		}
	}
}

// The table again, as a reader would say it: a second copy that must agree.
func TestEachRoleMayDoWhatIsItsWork(t *testing.T) {
	cases := []struct {
		action Action
		want   string // i instructor, a administrator, u auditor, t trainee, h height-rescue, e energy
	}{
		{SeeYard, "iau"}, {SeeWeek, "iau"}, {SeeOptions, "ia"}, {SeePerson, "iau"}, {SeeCertificates, "iau"}, {SeeRuleBook, "iau"},
		{SeeEntries, "au"}, {SeeAccounts, "au"}, {SeeOwnPath, "t"}, {Search, "iau"}, {SeeAttention, "iau"}, {SeeCoverage, "iau"}, {SeeIntakes, "iau"},
		{BookSession, "ia"}, {MoveSession, "ia"}, {ChangePeople, "ia"}, {StandDown, "ia"}, {ReopenSession, "ia"}, {RunSession, "i"}, {CorrectSession, "ia"},
		{AcceptCaution, "ahe"}, {ShutStation, "iahe"}, {OpenStation, "ahe"}, {RecordInspection, "iahe"},
		{ApproveRescuePlan, "h"}, {ChangeRigState, "he"}, {ChangeRuleBook, "ahe"}, {ConfirmField, "ahe"},
		{ChangeYard, "a"}, {ChangeRecords, "a"}, {RecordCertificate, "a"}, {Appoint, "a"}, {ChangeAccounts, "a"},
		{SeeDrafts, "a"}, {TakeArchive, "a"}, {PlanIntake, "a"}, {AcceptDraft, "a"}, {RecordLoss, "a"}, {TellPeople, "a"},
		{SeeBackups, "a"}, {MakeBackup, "a"},
		{SeeCircuits, "iau"}, {ChangeIsolation, "iae"}, {AuthoriseCircuit, "ae"}, {ForceLock, "e"}, {Countersign, "iat"},
		{SeeIncidents, "iau"}, {ReportIncident, "iaut"}, {ClassIncident, "he"}, {SeeComplaints, "auhe"}, {FileComplaint, "iat"}, {HandleComplaint, "ahe"}, {SeeArrivals, "iau"}, {RecordArrival, "ia"},
		{"launch-rocket", ""},
	}
	actors := []struct {
		letter string
		actor  Actor
	}{
		{"i", actor(Instructor)}, {"a", actor(Administrator)}, {"u", actor(Auditor)}, {"t", actor(TraineeRole)},
		{"h", appointed(verdict.HeightRescue)}, {"e", appointed(verdict.Energy)}, {"-", actor()},
	}
	for _, c := range cases {
		got := ""
		for _, a := range actors {
			if May(a.actor, c.action) {
				got += a.letter
			}
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.action, got, c.want)
		}
	}
}

func TestAnAppointmentCountsOnItsDaysForItsPersonOnly(t *testing.T) {
	one := people.Appointment{Person: "me", Field: verdict.Energy, From: today - 10, Until: today + 10}
	cases := []struct {
		name   string
		change func(*Actor, *people.Appointment)
		want   bool
	}{
		{"in the middle", func(a *Actor, p *people.Appointment) {}, true},
		{"first day", func(a *Actor, p *people.Appointment) { a.Today = p.From }, true},
		{"day before", func(a *Actor, p *people.Appointment) { a.Today = p.From - 1 }, false},
		{"last day", func(a *Actor, p *people.Appointment) { a.Today = p.Until }, true},
		{"day after", func(a *Actor, p *people.Appointment) { a.Today = p.Until + 1 }, false},
		{"another person's", func(a *Actor, p *people.Appointment) { p.Person = "you" }, false},
		{"nobody's", func(a *Actor, p *people.Appointment) { a.Person, p.Person = "", "" }, false},
		{"another field", func(a *Actor, p *people.Appointment) { p.Field = verdict.Lifting }, false},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			a, p := actor(Instructor), one
			c.change(&a, &p)
			a.Appointments = []people.Appointment{p}
			if MayAccept(a, verdict.Energy) != c.want || MayConfirm(a, verdict.Energy) != c.want {
				t.Errorf("got %t and %t, want %t", MayAccept(a, verdict.Energy), MayConfirm(a, verdict.Energy), c.want)
			}
		})
	}
}

func TestPlanningBelongsToTheAdministrator(t *testing.T) {
	if role, err := RequireAccept(actor(Administrator), verdict.Planning); err != nil || role != Administrator {
		t.Errorf("got %s, %v; want administrator", role, err)
	}
	if _, err := RequireAccept(actor(Administrator), verdict.Energy); fault.Of(err) != fault.Forbidden {
		t.Errorf("an administrator without appointment: got %v, want forbidden", err)
	}
	if role, err := RequireConfirm(appointed(verdict.HeightRescue), verdict.HeightRescue); err != nil || role != Responsible {
		t.Errorf("got %s, %v; want the responsible person", role, err)
	}
	if MayAccept(appointed(verdict.Fields()...), verdict.Planning) {
		t.Error("a responsible person accepts planning cautions, want only an administrator")
	}
}

func TestRequireNamesTheRoleUsedAndRefusesInPlainWords(t *testing.T) {
	cases := []struct {
		name   string
		actor  Actor
		action Action
		role   Role
		refuse string
	}{
		{"one role of several", actor(Auditor, Administrator), BookSession, Administrator, ""},
		{"the table's first of two", actor(Administrator, Instructor), BookSession, Instructor, ""},
		{"by appointment", appointed(verdict.HeightRescue), ApproveRescuePlan, Responsible, ""},
		{"auditor books", actor(Auditor), BookSession, "", "You may not book a session; an instructor or an administrator may."},
		{"administrator approves a plan", actor(Administrator), ApproveRescuePlan, "", "You may not approve a rescue plan; the responsible person for height and rescue may."},
		{"instructor confirms", actor(Instructor), ConfirmField, "", "You may not confirm limits of the rule book; an administrator or a responsible person may."},
		{"nobody at all", actor(), SeeOwnPath, "", "You may not see a trainee's own path; a trainee may."},
		{"an unknown action", actor(Administrator), "fly", "", `Nobody may do "fly"; the table of access does not know it.`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			role, err := Require(c.actor, c.action)
			if role != c.role || fault.Message(err) != c.refuse {
				t.Errorf("got %q, %q; want %q, %q", role, fault.Message(err), c.role, c.refuse)
			}
			if err != nil && fault.Of(err) != fault.Forbidden {
				t.Errorf("got kind %s, want forbidden", fault.Of(err))
			}
		})
	}
}
