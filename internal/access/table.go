package access

import (
	"slices"

	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// Action is something a person may do, in plain words.
type Action string

// What can be seen.
const (
	SeeYard         Action = "see-yard"
	SeeStation      Action = "see-station" // rigs, stations, kits, inspections, rescue plans
	SeeWeek         Action = "see-week"
	SeeSession      Action = "see-session"
	SeeOptions      Action = "see-options" // free times for a group
	SeeCoverage     Action = "see-coverage"
	SeeAttention    Action = "see-attention"
	SeePeople       Action = "see-people"
	SeePerson       Action = "see-person" // anybody's record
	SeeIntakes      Action = "see-intakes"
	SeeCertificates Action = "see-certificates"
	SeeRuleBook     Action = "see-rule-book"
	SeeEntries      Action = "see-entries" // the ledger
	SeeAccounts     Action = "see-accounts"
	Search          Action = "search"
	SeeDrafts       Action = "see-drafts"
	TakeArchive     Action = "take-archive" // the whole record as one file
	SeeBackups      Action = "see-backups"
	SeeOwnPath      Action = "see-own-path" // one's own record as a trainee
	SeeIncidents    Action = "see-incidents"
	SeeArrivals     Action = "see-arrivals" // and who is on the yard
	SeeCircuits     Action = "see-circuits"
	SeeComplaints   Action = "see-complaints" // that they are there and where they stand, not what they say
)

// What can be changed.
const (
	BookSession       Action = "book-session"
	MoveSession       Action = "move-session"
	ChangePeople      Action = "change-people" // of a session
	StandDown         Action = "stand-down"
	ReopenSession     Action = "reopen-session"
	RunSession        Action = "run-session"     // start, attendance, results, sign off
	CorrectSession    Action = "correct-session" // one that is signed
	AcceptCaution     Action = "accept-caution"
	ShutStation       Action = "shut-station"
	OpenStation       Action = "open-station"
	RecordInspection  Action = "record-inspection"
	PutInQuarantine   Action = "put-in-quarantine" // a rig, station, kit or item
	LiftQuarantine    Action = "lift-quarantine"
	TakeItemOut       Action = "take-item-out" // of use, for good
	RecordDrill       Action = "record-drill"
	RecordWeather     Action = "record-weather"
	WriteRescuePlan   Action = "write-rescue-plan"
	ApproveRescuePlan Action = "approve-rescue-plan"
	ChangeRigState    Action = "change-rig-state"
	ChangeYard        Action = "change-yard" // rigs, stations, kits, hours, exercises, programmes
	ChangeRecords     Action = "change-records"
	RecordCertificate Action = "record-certificate"
	RecordDuty        Action = "record-duty"
	ChangeRuleBook    Action = "change-rule-book"
	ConfirmField      Action = "confirm-field"
	Appoint           Action = "appoint"
	PlanIntake        Action = "plan-intake" // and make a repair draft
	AcceptDraft       Action = "accept-draft"
	RecordLoss        Action = "record-loss"
	TellPeople        Action = "tell-people" // note who was told
	BringIn           Action = "bring-in"    // lists that the centre kept elsewhere
	MakeBackup        Action = "make-backup" // now, beside the schedule
	ChangeAccounts    Action = "change-accounts"
	ChangeOwnPassword Action = "change-own-password" // and sign out everywhere
	MakeToken         Action = "make-token"          // for oneself, and revoke it
	ReportIncident    Action = "report-incident"     // or a near miss
	ClassIncident     Action = "class-incident"      // release it, give its kit back, note that it was reported
	RecordArrival     Action = "record-arrival"      // what is seen of trainees, and who comes and goes
	ChangeIsolation   Action = "change-isolation"    // isolate a circuit, lock it, test it, make it live
	AuthoriseCircuit  Action = "authorise-circuit"   // say who may be in charge of one
	ForceLock         Action = "force-lock"          // take off the lock of somebody who has left
	Countersign       Action = "countersign"         // what stands signed of a trainee, by the trainee's own code
	RenewCode         Action = "renew-code"          // let a trainee who forgot their own code choose another
	PutInEvidence     Action = "put-in-evidence"     // of a rig's dossier
	FileComplaint     Action = "file-complaint"      // or an appeal, for oneself, and see one's own
	HandleComplaint   Action = "handle-complaint"    // write down one that came, answer it; whether one decides it is said by complaint.MayDecide
	AcceptEvidence    Action = "accept-evidence"     // of a rig's dossier, never one's own; refuse it, revoke it
)

// Rule says who may do one action.
type Rule struct {
	Action Action
	Writes bool            // false: it only shows
	Roles  []Role          // any one is enough
	Fields []verdict.Field // or an appointment in any one of these
	Say    string          // what is done, after "may not"
}

var (
	staff   = []Role{Instructor, Administrator}
	readers = []Role{Instructor, Administrator, Auditor}
	admin   = []Role{Administrator}
)

// table is the one place that says who may do what.
var table = []Rule{
	{SeeYard, false, readers, nil, "see the yard"},
	{SeeStation, false, readers, nil, "see rigs and stations"},
	{SeeWeek, false, readers, nil, "see the week"},
	{SeeSession, false, readers, nil, "see sessions"},
	{SeeOptions, false, staff, nil, "look for free times"},
	{SeeCoverage, false, readers, nil, "see the coverage"},
	{SeeAttention, false, readers, nil, "see what needs attention"},
	{SeePeople, false, readers, nil, "see the people"},
	{SeePerson, false, readers, nil, "see another person's record"},
	{SeeIntakes, false, readers, nil, "see the intakes"},
	{SeeCertificates, false, readers, nil, "see the certificates"},
	{SeeRuleBook, false, readers, nil, "see the rule book"},
	{SeeEntries, false, []Role{Administrator, Auditor}, nil, "see the ledger"},
	{SeeAccounts, false, []Role{Administrator, Auditor}, nil, "see the accounts"},
	{Search, false, readers, nil, "search"},
	{SeeDrafts, false, admin, nil, "see the drafts"},
	{TakeArchive, false, admin, nil, "take out the whole record"},
	{SeeBackups, false, admin, nil, "see the backups"},
	{SeeOwnPath, false, []Role{TraineeRole}, nil, "see a trainee's own path"},
	{SeeIncidents, false, readers, nil, "see the incidents"},
	{SeeArrivals, false, readers, nil, "see who is here"},
	{SeeCircuits, false, readers, nil, "see the state of the circuits"},
	{SeeComplaints, false, []Role{Administrator, Auditor}, verdict.Fields(), "see the complaints and appeals"},

	{BookSession, true, staff, nil, "book a session"},
	{MoveSession, true, staff, nil, "move a session"},
	{ChangePeople, true, staff, nil, "change a session's people"},
	{StandDown, true, staff, nil, "stand a session down"},
	{ReopenSession, true, staff, nil, "reopen a session"},
	{RunSession, true, []Role{Instructor}, nil, "run a session"},
	{CorrectSession, true, staff, nil, "correct a signed session"},
	{AcceptCaution, true, admin, verdict.Fields(), "accept a caution"},
	{ShutStation, true, staff, verdict.Fields(), "shut a station"},
	{OpenStation, true, admin, verdict.Fields(), "open a station"},
	{RecordInspection, true, staff, verdict.Fields(), "record an inspection"},
	{PutInQuarantine, true, staff, verdict.Fields(), "put something in quarantine"},
	{LiftQuarantine, true, nil, verdict.Fields(), "lift a quarantine"},
	{TakeItemOut, true, staff, verdict.Fields(), "take an item out of use"},
	{RecordWeather, true, staff, verdict.Fields(), "record the weather"},
	{RecordDrill, true, staff, []verdict.Field{verdict.HeightRescue}, "record a drill"},
	{WriteRescuePlan, true, staff, []verdict.Field{verdict.HeightRescue}, "write a rescue plan"},
	{ApproveRescuePlan, true, nil, []verdict.Field{verdict.HeightRescue}, "approve a rescue plan"},
	{ChangeRigState, true, nil, verdict.Fields(), "put a rig in or out of service"},
	{ChangeYard, true, admin, nil, "change the yard's records"},
	{ChangeRecords, true, admin, nil, "change people's records"},
	{RecordCertificate, true, admin, nil, "record a certificate"},
	{RecordDuty, true, staff, nil, "record a duty"},
	{ChangeRuleBook, true, admin, verdict.Fields(), "change the rule book"},
	{ConfirmField, true, admin, verdict.Fields(), "confirm limits of the rule book"},
	{Appoint, true, admin, nil, "appoint a responsible person"},
	{PlanIntake, true, admin, nil, "plan an intake"},
	{AcceptDraft, true, admin, nil, "accept a draft"},
	{RecordLoss, true, admin, nil, "record a loss"},
	{TellPeople, true, admin, nil, "note who was told"},
	{BringIn, true, admin, nil, "bring in lists"},
	{MakeBackup, true, admin, nil, "make a backup"},
	{ChangeAccounts, true, admin, nil, "change accounts"},
	{ChangeOwnPassword, true, Roles(), nil, "change a password"},
	{MakeToken, true, readers, nil, "make a token"},
	{ReportIncident, true, Roles(), nil, "report an incident"},
	{ClassIncident, true, nil, verdict.Fields(), "class an incident"},
	{RecordArrival, true, staff, nil, "record who comes and goes"},
	{ChangeIsolation, true, staff, []verdict.Field{verdict.Energy}, "change the isolation of a circuit"},
	{AuthoriseCircuit, true, admin, []verdict.Field{verdict.Energy}, "authorise somebody for a circuit"},
	{ForceLock, true, nil, []verdict.Field{verdict.Energy}, "take off another's lock"},
	{Countersign, true, []Role{Instructor, Administrator, TraineeRole}, nil, "countersign results"},
	{RenewCode, true, staff, nil, "let a trainee choose a new code"},
	{PutInEvidence, true, staff, verdict.Fields(), "put in evidence of a rig"},
	{AcceptEvidence, true, nil, verdict.Fields(), "accept evidence of a rig"},
	{FileComplaint, true, []Role{Instructor, Administrator, TraineeRole}, nil, "file a complaint or an appeal"},
	{HandleComplaint, true, admin, verdict.Fields(), "handle complaints and appeals"},
}

// Table returns every action with its rule, in the order pages show them.
func Table() []Rule { return table }

// OfOneself reports whether an action writes only how its actor signs in, or what
// they saw go wrong, and changes nothing of the yard's records: an auditor may do
// it too.
func OfOneself(a Action) bool {
	return a == ChangeOwnPassword || a == MakeToken || a == ReportIncident
}

// RuleOf returns the rule of an action.
func RuleOf(a Action) (Rule, bool) {
	i := slices.IndexFunc(table, func(r Rule) bool { return r.Action == a })
	if i < 0 {
		return Rule{}, false
	}
	return table[i], true
}

// May reports whether the actor may do the action. An action that the table
// lacks may be done by nobody.
func May(actor Actor, action Action) bool {
	_, err := Require(actor, action)
	return err == nil
}

// Require returns the role in which the actor may do the action, for the entry
// to name: of those held, the first in the table's order, else Responsible. The
// error is fault.Forbidden with a sentence.
//
// Some actions ask more than the role: see MayAccept, MayConfirm and
// RequirePerson, which name the field or the person.
func Require(actor Actor, action Action) (Role, error) {
	rule, ok := RuleOf(action)
	if !ok {
		return "", fault.New(fault.Forbidden, "Nobody may do %q; the table of access does not know it.", action)
	}
	if !actor.Scope.Leaves(action) {
		return "", fault.New(fault.Forbidden, "This token may not %s; its scope is %q.", rule.Say, actor.Scope)
	}
	for _, role := range rule.Roles {
		if slices.Contains(actor.Roles, role) {
			return role, nil
		}
	}
	for _, f := range rule.Fields {
		if Appointed(actor, f) {
			return Responsible, nil
		}
	}
	return "", fault.New(fault.Forbidden, "You may not %s; %s may.", rule.Say, who(rule))
}

// Appointed reports whether the actor is the responsible person of a field on
// the day of the act.
func Appointed(actor Actor, f verdict.Field) bool {
	for _, a := range actor.Appointments {
		if a.Field == f && a.Person == actor.Person && actor.Person != "" && a.On(actor.Today) {
			return true
		}
	}
	return false
}

// MayAccept reports whether the actor may accept a caution of a field: its
// responsible person, and for planning cautions an administrator.
func MayAccept(actor Actor, f verdict.Field) bool { return forField(actor, f, AcceptCaution) }

// MayConfirm reports whether the actor may confirm the rule book's limits of a
// field: its responsible person, and for planning limits an administrator.
func MayConfirm(actor Actor, f verdict.Field) bool { return forField(actor, f, ConfirmField) }

func forField(actor Actor, f verdict.Field, action Action) bool {
	if !actor.Scope.Leaves(action) {
		return false
	}
	if f == verdict.Planning {
		return slices.Contains(actor.Roles, Administrator)
	}
	return Appointed(actor, f)
}

// RequireAccept returns the role in which the actor may accept a caution of a
// field. The error is fault.Forbidden with a sentence that names the field.
func RequireAccept(actor Actor, f verdict.Field) (Role, error) {
	return requireField(actor, f, AcceptCaution, "accept a caution")
}

// RequireConfirm returns the role in which the actor may confirm a field's limits.
func RequireConfirm(actor Actor, f verdict.Field) (Role, error) {
	return requireField(actor, f, ConfirmField, "confirm limits")
}

func requireField(actor Actor, f verdict.Field, action Action, what string) (Role, error) {
	switch {
	case !actor.Scope.Leaves(action):
		return "", fault.New(fault.Forbidden, "This token may not %s; its scope is %q.", what, actor.Scope)
	case !forField(actor, f, action) && f == verdict.Planning:
		return "", fault.New(fault.Forbidden, "You may not %s of planning; an administrator may.", what)
	case !forField(actor, f, action):
		return "", fault.New(fault.Forbidden, "You may not %s of the field %s; the person appointed for it may.", what, fieldWords(f))
	case f == verdict.Planning:
		return Administrator, nil
	}
	return Responsible, nil
}

// MaySeePerson reports whether the actor may see a person's record: anybody's by
// SeePerson, a trainee only their own.
func MaySeePerson(actor Actor, p id.Person) bool {
	if May(actor, SeePerson) {
		return true
	}
	return p != "" && p == actor.Person && May(actor, SeeOwnPath)
}

// RequirePerson is MaySeePerson with the role to name. The error is
// fault.NotFound, so that nobody learns who is here by asking.
func RequirePerson(actor Actor, p id.Person) (Role, error) {
	if role, err := Require(actor, SeePerson); err == nil {
		return role, nil
	}
	if !MaySeePerson(actor, p) {
		return "", fault.New(fault.NotFound, "There is no such person, or not for you to see.")
	}
	return TraineeRole, nil
}
