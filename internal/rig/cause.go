package rig

import (
	"fmt"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// CauseKind is why something may not be used; a closed list.
type CauseKind string

// The kinds of cause.
const (
	NotInService        CauseKind = "state"
	Retired             CauseKind = "retired"
	IsShut              CauseKind = "shut"
	InspectionMissing   CauseKind = "inspection-missing"
	InspectionOverdue   CauseKind = "inspection-overdue"
	InspectionFailed    CauseKind = "inspection-failed"
	NoRescuePlan        CauseKind = "no-rescue-plan"
	RescuePlanLapsed    CauseKind = "rescue-plan-lapsed"
	RescuePlanWithdrawn CauseKind = "rescue-plan-withdrawn"
	DrillMissing        CauseKind = "drill-missing"
	DrillOverdue        CauseKind = "drill-overdue"
	DrillFailed         CauseKind = "drill-failed"
	DrillSlow           CauseKind = "drill-slow"
	KitOutOfDate        CauseKind = "kit-out-of-date"
	NotStated           CauseKind = "not-stated"
	ItemTooOld          CauseKind = "item-too-old"
	NoItem              CauseKind = "no-item"
	NoPiece             CauseKind = "no-piece"
	Quarantined         CauseKind = "quarantined"
	AfterStorm          CauseKind = "after-storm"
	EvidenceMissing     CauseKind = "evidence-missing"
	EvidenceLapsed      CauseKind = "evidence-lapsed"
	EvidenceRevoked     CauseKind = "evidence-revoked"
	ByIncident          CauseKind = "incident" // planning adds it; the register of rigs knows no incidents
)

// Missing is what is not stated; a closed list. Its text completes "… is not stated".
type Missing string

// What may be missing. Each stops, because nothing may be assumed.
const (
	MissingRecord      Missing = "what it is"
	MissingState       Missing = "the state"
	MissingPeopleMax   Missing = "how many people it bears"
	MissingPlaces      Missing = "how many trainees have a place"
	MissingFirstAiders Missing = "how many first-aiders it needs"
	MissingRescue      Missing = "the rescue cover"
	MissingRescueKit   Missing = "the rescue kit"
	MissingReview      Missing = "the day of review"
	MissingCount       Missing = "how many there are"
	MissingLastValid   Missing = "the last valid day"
	MissingInterval    Missing = "the interval of an inspection"
	MissingFirstUse    Missing = "the day of first use"
	MissingLife        Missing = "the lifetime of textile kit in the rule book"
	MissingRuleBook    Missing = "the rule book for this day"
)

// Cause is one reason why a rig, station, kit or item may not be used. Two causes are
// the same if all their values are.
type Cause struct {
	Kind    CauseKind
	Subject verdict.Ref   // rig, station, kit or item that is not fit
	Since   civil.Day     // first day of it; 0 = always, or not known
	State   State         // of NotInService
	Line    string        // rule-book line, of inspections and drills
	Plan    id.RescuePlan // of rescue plans and drills
	Version int           // of DrillSlow by the plan's own word: the version that says it
	Missing Missing       // of NotStated
	Points  string        // of evidence: what the dossier lacks, in words
	Shut    id.Shut       // of IsShut
	Reason  ShutReason    // of IsShut
	Start   civil.Instant // of IsShut, Quarantined and AfterStorm
	End     civil.Instant // of IsShut and AfterStorm; 0 = until somebody opens or inspects it
	Gust    int64         // of AfterStorm: the strongest, tenths of a metre per second; 0 = not read
	Piece   int           // of NoItem

	Quarantine id.Quarantine // of Quarantined
}

func stationRef(s id.Station) verdict.Ref { return verdict.Ref{Kind: verdict.Station, ID: string(s)} }
func rigRef(r id.Rig) verdict.Ref         { return verdict.Ref{Kind: verdict.Rig, ID: string(r)} }
func kitRef(k id.Kit) verdict.Ref         { return verdict.Ref{Kind: verdict.Kit, ID: string(k)} }
func planRef(p id.RescuePlan) verdict.Ref {
	return verdict.Ref{Kind: verdict.RescuePlan, ID: string(p)}
}

// Say returns the cause as people say it: "inspection of deck 2 overdue since
// 3 May (ladder)".
func (c Cause) Say() verdict.Text {
	switch c.Kind {
	case NotInService:
		return c.since(c.Subject, " is ", strings.ReplaceAll(string(c.State), "-", " "))
	case Retired:
		return c.since(c.Subject, " is retired")
	case IsShut:
		return c.sayShut()
	case InspectionMissing:
		return verdict.Say("no inspection of ", c.Subject, " is recorded", c.what())
	case InspectionOverdue:
		return verdict.Say("inspection of ", c.Subject, " overdue since ", c.Since, c.what())
	case InspectionFailed:
		return verdict.Say("inspection of ", c.Subject, " failed on ", c.Since, c.what())
	case NoRescuePlan:
		return verdict.Say("no rescue plan is in force for ", c.Subject)
	case RescuePlanLapsed:
		return verdict.Say("review of rescue plan ", planRef(c.Plan), " for ", c.Subject, " overdue since ", c.Since)
	case RescuePlanWithdrawn:
		return c.since("rescue plan ", planRef(c.Plan), " for ", c.Subject, " is withdrawn")
	case DrillMissing:
		return verdict.Say("no accepted drill of rescue plan ", planRef(c.Plan), " for ", c.Subject, " is recorded")
	case DrillOverdue:
		return verdict.Say("drill of rescue plan ", planRef(c.Plan), " for ", c.Subject, " overdue since ", c.Since)
	case DrillFailed:
		return verdict.Say("drill of rescue plan ", planRef(c.Plan), " for ", c.Subject, " was not accepted on ", c.Since)
	case DrillSlow:
		return verdict.Say("drill of rescue plan ", planRef(c.Plan), " for ", c.Subject, " on ", c.Since, " took longer to a safe place than ", c.slowBy())
	case KitOutOfDate:
		return c.since(c.Subject, " is out of date")
	case ItemTooOld:
		return c.since(c.Subject, " is past its last day")
	case NoItem:
		return verdict.Say("no item is on record for piece ", c.Piece, " of ", c.Subject)
	case NoPiece:
		return verdict.Say("no piece of ", c.Subject, " may be used")
	case Quarantined:
		return verdict.Say(c.Subject, " is in quarantine since ", c.Start)
	case AfterStorm:
		return verdict.Say(c.Subject, " waits for its inspection after the storm of ", c.Start, c.blew())
	case EvidenceMissing:
		return verdict.Say("the dossier of ", c.Subject, " lacks: ", c.Points)
	case EvidenceLapsed:
		return verdict.Say("dossier of ", c.Subject, ": ", c.Points, " lapsed on ", c.Since)
	case EvidenceRevoked:
		return verdict.Say("dossier of ", c.Subject, ": ", c.Points, " was revoked on ", c.Since)
	default:
		return verdict.Say(c.Subject, ": ", string(c.Missing), " is not stated", c.what())
	}
}

// Brief returns the cause without the name of its station, for a place where the
// reader sees that already: "inspection overdue since 3 May (ladder)". Of a shut
// station it is the reason alone: "anchor test".
func (c Cause) Brief() verdict.Text {
	if c.Kind == IsShut {
		return verdict.Say(c.reason())
	}
	if c.Subject.Kind != verdict.Station {
		return c.Say()
	}
	switch c.Kind {
	case Retired:
		return c.since("retired")
	case InspectionMissing:
		return verdict.Say("no inspection recorded", c.what())
	case InspectionOverdue:
		return verdict.Say("inspection overdue since ", c.Since, c.what())
	case InspectionFailed:
		return verdict.Say("inspection failed on ", c.Since, c.what())
	case NoRescuePlan:
		return verdict.Say("no rescue plan in force")
	case RescuePlanLapsed:
		return verdict.Say("review of the rescue plan overdue since ", c.Since)
	case RescuePlanWithdrawn:
		return c.since("rescue plan withdrawn")
	case DrillMissing:
		return verdict.Say("no accepted rescue drill")
	case DrillOverdue:
		return verdict.Say("rescue drill overdue since ", c.Since)
	case DrillFailed:
		return verdict.Say("rescue drill not accepted on ", c.Since)
	case DrillSlow:
		return verdict.Say("rescue drill on ", c.Since, " slower than ", c.slowBy())
	case Quarantined:
		return verdict.Say("in quarantine since ", c.Start)
	case NotStated:
		return verdict.Say("not stated: ", string(c.Missing), c.what())
	default:
		return c.Say()
	}
}

// slowBy is what a drill was too slow for: the rule book's line, or else the plan's
// own word.
func (c Cause) slowBy() string {
	if c.Line == "" {
		return fmt.Sprintf("version %d of the plan says", c.Version)
	}
	return "the rule book lets it"
}

// blew says how hard a storm was, where that was read.
func (c Cause) blew() string {
	if c.Gust == 0 {
		return ""
	}
	return fmt.Sprintf(" (up to %d.%d m/s)", c.Gust/10, c.Gust%10)
}

// since closes a sentence with the day it holds since, if that is known.
func (c Cause) since(parts ...any) verdict.Text {
	if c.Since != 0 {
		parts = append(parts, " since ", c.Since)
	}
	return verdict.Say(parts...)
}

func (c Cause) sayShut() verdict.Text {
	reason := " (" + c.reason() + ")"
	if c.End == 0 {
		return verdict.Say(c.Subject, " is shut since ", c.Start, reason)
	}
	return verdict.Say(c.Subject, " is shut ", civil.Period{Start: c.Start, End: c.End}, reason)
}

func (c Cause) reason() string { return strings.ReplaceAll(string(c.Reason), "-", " ") }

// what names the inspection in brackets, where there is one.
func (c Cause) what() string {
	if c.Line == "" {
		return ""
	}
	return " (" + rulebook.Line{ID: c.Line}.Subject() + ")"
}
