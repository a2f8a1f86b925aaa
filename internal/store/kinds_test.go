package store

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/batch"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
	"rungbook/internal/weather"
)

func given[T any](v T) *T { return &v }

// oneOfEach is a record of every kind with every member given.
func oneOfEach(tx *Tx) []any {
	c := func(of, text string) id.Commitment { return tx.Seal(of, "text", text) }
	two, seen := 2, &arrival.Signed{By: "person", At: nine}
	return []any{
		rig.Yard{ID: "yard", Name: c("yard", "Yard"), Zone: "America/Havana", Latitude: -52_123_456, Longitude: 9_000_001, Grid: 15,
			Open: []rig.Window{{Weekdays: []int{1, 2}, From: 480, To: 1020}}, ClosedDays: []rig.ClosedDay{{Day: 740000, Reason: c("yard", "Feast")}}},
		rulebook.Version{ID: "book", From: 739000, Profiles: []id.Profile{"eu-adult"},
			Lines: []rulebook.Line{{ID: "eu-adult.daily-rest", Profile: "eu-adult", Quantity: "daily-rest", Value: 660, Field: verdict.Planning,
				Source: rulebook.Source{Document: "a directive", Version: "2003", Clause: "3", Mark: rulebook.Read}}},
			Confirmations: []rulebook.Confirmation{{Field: verdict.Energy, Person: "person", Day: 739001}}},
		rig.Rig{ID: "rig", Name: c("rig", "Rig"), Kind: rig.NacelleHouse, State: rig.Restricted, PeopleMax: 9, Inspections: []string{"inspection.structure"},
			Drawing: rig.Drawing{X: 1, Width: 2, Height: 3, Base: 4, BaseWidth: 5, OnRig: "rig", Side: "left", Off: 6, Decks: []rig.Deck{{Height: 7, Out: 8}},
				Ground: []rig.GroundZone{{Zone: "zone", From: 1, To: 2, TopFrom: 3, TopTo: 4, Height: 5}}}, Order: 5},
		rig.Zone{ID: "zone", Name: c("zone", "Drop zone"), Retired: 739600},
		rig.Circuit{ID: "circuit", Name: c("circuit", "Hydraulics"), Changeover: 20, Retired: 739600},
		rig.Kit{ID: "kit", Name: c("kit", "Descent kit"), Count: 2, LastValid: 739500, Inspections: []string{"inspection.kit"}, Retired: 739600, Rated: 140},
		rig.Item{ID: "item", Kit: "kit", Piece: 2, Sort: rig.HarnessItem, Serial: c("item", "H-12"), Says: c("item", "sit harness"), FirstUse: 739000, MakerLast: 742000,
			Inspections: []string{"inspection.harness"}, Out: 739700, Why: c("item", "worn"), Replaces: "item"},
		rig.Quarantine{ID: "quarantine", Subject: "item", Start: nine, By: "person", Incident: "incident", Why: c("quarantine", "a cut"),
			Lift: &rig.Lift{By: "other", At: nine.Add(60), Inspection: "inspection", Why: c("quarantine", "a thread, cut off")}},
		rig.Station{ID: "station", Rig: "rig", Name: c("station", "Deck"), Places: 6, Zones: []id.Zone{"zone"}, Height: true, NeedsDaylight: true,
			Turnaround: 15, StaffMin: 1, FirstAiders: &two, Rescue: &rig.Rescue{Rescuers: 1, StandbyMin: 2, OwnInstructorsCount: true, Kit: "kit"},
			Inspections: []string{"inspection.deck"}, Place: rig.Place{X: 1, Y: 2, Width: 3, Height: 4, Label: "left"}, Retired: 740001, Order: 1},
		rig.Shut{ID: "shut", Station: "station", Start: nine, End: nine.Add(60), Reason: rig.ShutFault, Note: c("shut", "bolt")},
		rig.Inspection{ID: "inspection", Subject: "station", Line: "inspection.deck", Done: 739100, At: nine, Passed: true, By: "person", Note: c("inspection", "good")},
		rig.RescuePlan{ID: "plan", Version: 2, TakenOver: "other", Name: c("plan", "Plan"), Text: c("plan", "Lower them"), Stations: []id.Station{"station"}, Author: "person",
			ApprovedBy: "other", InForce: 739000, ReviewBy: 739365, Withdrawn: 739400, Target: 12, Procedure: &rig.Procedure{SafeWithin: 15, Kits: []id.Kit{"kit"},
				Steps: []id.Commitment{c("plan", "Raise the alarm")}, Roles: []rig.PlanRole{{Name: c("plan", "Lead"), Does: c("plan", "Commands"), Competent: true, Count: 1, Beside: true}}}},
		rig.Drill{ID: "drill", Plan: "plan", Version: 2, Day: 739010, At: nine, Minutes: 11, Accepted: true, People: []id.Person{"person"}, Found: c("drill", "The rope was short")},
		rig.Evidence{ID: "evidence", Rig: "rig", Point: rig.PointAnchors, Done: 739010, Until: 739400, By: c("evidence", "Test house"), Authority: c("evidence", "appointed inspector"),
			Facts: []rig.EvidenceFact{{Asked: "Test load", Text: c("evidence", "15 kN")}}, File: rig.EvidenceFile{Hash: strings.Repeat("ab", 32), Type: rig.PDF, Bytes: 900, Name: c("evidence", "pull.pdf")},
			PutIn:    rig.EvidenceWord{By: "person", At: nine, Why: c("evidence", "why")},
			Accepted: &rig.EvidenceWord{By: "other", At: nine, Why: c("evidence", "why")}, Refused: &rig.EvidenceWord{By: "other", At: nine, Why: c("evidence", "why")},
			Revoked: &rig.EvidenceWord{By: "other", At: nine, Why: c("evidence", "why")}},
		curriculum.Outcome{ID: "outcome", Name: c("outcome", "Can"), Retired: 739600},
		curriculum.Exercise{ID: "exercise", Name: c("exercise", "Exercise"), Setting: curriculum.Practical, Minutes: 90, Setup: 10, Strike: 5,
			Pauses: []curriculum.Pause{{After: 45, Minutes: 10}}, Stations: []id.Station{"station"}, GroupMin: 2, GroupMax: 6, Ratio: 4,
			RatioAt: []curriculum.StationRatio{{Station: "station", Ratio: 3}}, After: []curriculum.After{{Exercise: "exercise", MinGap: 1, MaxGap: 2}},
			Requires: []string{"medical-height"}, Uses: []curriculum.KitUse{{Kit: "kit", Count: 1}}, Energy: []curriculum.EnergyNeed{{Circuit: "circuit", State: "live"}},
			Outcomes: []id.Outcome{"outcome"}, Retired: 740000, Order: 3},
		curriculum.Programme{ID: "programme", Retired: 739600, Name: c("programme", "Programme"), Units: []curriculum.Unit{{Name: c("programme", "Unit"), Outcomes: []id.Outcome{"outcome"}}},
			Exercises: []id.Exercise{"exercise"}, Hours: 480, SpanDays: 30, Validity: "validity.height", Order: 4},
		people.Employer{ID: "employer", Name: c("employer", "Employer"), Retired: 739600},
		people.Person{ID: "person", Name: c("person", "Person"), Born: c("person", "1990-01-01"), Employer: "employer", Number: c("person", "17")},
		people.Person{ID: "other", Name: c("other", "Other")},
		people.Staff{ID: "person", From: 738000, Until: 741000, Weekdays: []int{1, 5}, Rest: []id.Profile{"eu-adult"}},
		people.Intake{ID: "intake", Name: c("intake", "Intake"), Employer: "employer", Programme: "programme", From: 739000, Until: 739010, Alone: true},
		people.Trainee{ID: "trainee", Person: "other", Intake: "intake", Needs: []id.Exercise{"exercise"}, Rest: []id.Profile{"eu-adult"}},
		people.Appointment{ID: "appointment", Person: "person", Field: verdict.Energy, From: 739000, Until: 739365},
		people.Duty{ID: "duty", Person: "person", Kind: people.ElsewhereDuty, Start: nine, End: nine.Add(9), Ended: true},
		people.Away{ID: "away", Person: "person", Start: nine, End: nine.Add(9), Ended: true},
		people.NoHeight{ID: "low", Person: "person", From: 739000, Until: 739010, Ended: true},
		access.Account{ID: "account", Person: "person", Roles: []access.Role{access.Auditor}, Ended: true},
		session.Session{ID: "session", State: session.SignedOff, Exercise: "exercise", Station: "station", Start: nine, End: nine.Add(90),
			Trainees: []id.Trainee{"trainee"}, Instructors: []id.Person{"person"}, Rescuers: []id.Person{"other"}, Others: []id.Person{"other"},
			Parts: []session.OtherAs{{Person: "other", As: session.Candidate}}, TrialOf: session.TrialDrill,
			Trial: true, Down: session.DownRig, Note: c("session", "note"),
			Run: &session.Run{Began: nine, Ended: nine.Add(90), Paper: true, Unseen: &session.Unseen{AsOf: nine.Add(-9), Voice: c("s", "Gate house"), VoiceAt: nine.Add(-2), Sent: nine.Add(40), Missing: []string{"roll"}},
				Pauses: []session.Pause{{Start: nine.Add(20), End: nine.Add(30), Why: session.PauseFellAway, Fell: []string{"weather"}}}}},
		session.Attendance{Session: "session", Presences: []session.Presence{{Who: "trainee", Part: session.AsTrainee, Mark: session.Late, Start: nine.Add(5), End: nine.Add(90)},
			{Who: "other", Part: session.AsRescuer, Mark: session.DidNotCome}},
			Corrections: []session.Correction{{Trainee: "trainee", By: "person", At: nine, Why: session.LaterEvidence, Note: c("session", "why")}}},
		session.Results{Session: "session", By: "person", Results: []session.Result{{Trainee: "trainee", Outcome: "outcome", Result: session.Competent, How: session.Written, Score: 85}},
			Notes:       []session.Note{{Trainee: "trainee", Remark: c("session", "steady"), Signed: nine, Drawn: c("trainee", "0,0 600,200")}},
			Corrections: []session.Correction{{Trainee: "trainee", By: "person", At: nine, Why: session.LaterEvidence, Note: c("session", "why")}}},
		people.OwnCode{Person: "person", Hash: c("person", "hash"), Anew: &people.CodeAnew{By: "other", Identity: people.PictureDocument}},
		session.Acceptance{ID: "acceptance", Session: "session", Rule: "days-in-a-row", Subject: "a\x00b", Field: verdict.Planning, By: "person", Reason: c("acceptance", "why"), Own: true},
		credential.Certificate{ID: "certificate", Number: 1042, Person: "person", Kind: credential.ForProgramme, Programme: "programme", Exercise: "exercise",
			Holds: "medical-height", Completed: 739000, From: 739000, Until: 739730, Validity: "validity.height", CountsFrom: 739000, Months: 24, State: credential.Valid, Intake: "intake", Trainee: "trainee", Why: c("certificate", "why")},
		batch.Batch{ID: "batch", List: batch.People, File: "ab12", Name: c("batch", "people.csv"), Mapping: c("batch", "{}"), Rows: 3, Taken: 2, Cautions: 1,
			Refused: 1, First: 4, By: "person", Back: true},
		incident.Incident{ID: "incident", Kind: incident.FallArrested, At: nine, Session: "session", Exercise: "exercise", Station: "station", Rig: "rig", Kit: "kit", Piece: 2, Item: "item", Quarantines: []id.Quarantine{"quarantine"}, Note: c("incident", "note"),
			Class:   &incident.Class{By: "person", At: nine, Significant: true, Shared: true, Programmes: []id.Programme{"programme"}, NoKit: true},
			Release: &incident.Release{By: "person", At: nine, Day: 739000, Text: c("incident", "release")},
			Told:    &incident.Signed{By: "person", At: nine}, KitBack: &incident.Signed{By: "other", At: nine}},
		weather.Reading{ID: "reading", Kind: weather.Measured, From: nine.Add(-30), At: nine, By: "person", Station: "station", Day: 739000, Instrument: "mast", Height: given[weather.Height](20),
			Averaging: weather.Glance, Mean: given[weather.Speed](62), Gust: given[weather.Speed](90), Direction: "SW", Celsius: given[weather.Celsius](-35), Humidity: given(70),
			Ice: weather.NoIce, Thunder: true, Lightning: given[weather.Kilometres](40), Storm: given[weather.Speed](120), Note: c("reading", "note"),
			Corrections: []weather.Correction{{By: "person", At: nine, Why: weather.Mistyped, Note: c("reading", "why"), Agreed: &weather.Agreement{By: "other", At: nine},
				Was: weather.Said{From: nine.Add(-30), At: nine, Instrument: "mast", Height: given[weather.Height](20), Averaging: weather.Glance, Mean: given[weather.Speed](62), Gust: given[weather.Speed](90),
					Direction: "SW", Celsius: given[weather.Celsius](-35), Humidity: given(70), Ice: weather.NoIce, Thunder: true, Lightning: given[weather.Kilometres](40), Storm: given[weather.Speed](120)}}}},
		rig.CheckList{ID: "check-list", For: rig.RescueKit, Items: []id.Commitment{c("check-list", "Seal is whole")}},
		session.Preparation{Session: "session", PreUse: &session.PreUse{Done: session.Done{By: "person", At: nine}, Station: "station",
			Things: []session.Checked{{Of: "kit", Items: []session.CheckedItem{{Item: c("session", "item"), Passed: true}}, Note: c("session", "worn")}}},
			Brief: &session.Brief{Done: session.Done{By: "person", At: nine}, Station: "station", Plan: "plan", Version: 2, Kit: true, Route: true, Muster: true,
				Roles: []session.RoleTaken{{Role: session.RoleLeads, Person: "other"}}, Heard: []id.Person{"other"}},
			Seen: &session.Shown{Done: session.Done{By: "person", At: nine}, Cautions: []string{"a"}}, WarmUp: &session.Done{By: "person", At: nine},
			Recheck: &session.Recheck{Done: session.Done{By: "person", At: nine}, Trainees: []id.Trainee{"trainee"}},
			Mass:    &session.MassSeen{Done: session.Done{By: "person", At: nine}, Kg: 140, Asked: []string{"other", "trainee"}, Within: []string{"trainee"}},
			Photos:  []session.Photo{{Of: "kit", Hash: strings.Repeat("ab", 32), Type: rig.JPEG, Bytes: 9, Done: session.Done{By: "person", At: nine}}}},
		arrival.Arrival{Trainee: "trainee", State: arrival.Came, At: nine, By: "trainee", Identity: seen, Number: seen, Prerequisites: seen, Fitness: seen, FitnessAt: nine, Induction: seen,
			Kit: []arrival.Slip{{Serial: c("trainee", "CM-L1"), Item: "item", Sort: "lanyard", Given: seen,
				Back: &arrival.Back{How: arrival.BackNotFit, By: "other", At: nine, Found: c("trainee", "a cut strap"), Quarantine: "quarantine"}}},
			Language: seen, Issued: []id.Commitment{c("trainee", "H-12")}, Items: []id.Item{"item"}, Contact: c("trainee", "Sister, 0123")},
		arrival.Stay{ID: "stay", Person: "person", Name: c("stay", "Visitor"), In: nine, Out: nine.Add(9)},
		rig.Isolation{Circuit: "circuit", State: rig.EnergyLocksOff, Since: nine, Permit: c("circuit", "permit 7"), InCharge: "person",
			Locks: []rig.Lock{{Person: "other", On: nine, Off: nine.Add(5), OffBy: "person", Absent: true}},
			Test:  &rig.DeadTest{By: "person", At: nine, Instrument: c("circuit", "tester 3"), ProvedBefore: true, ProvedAfter: true, StoredReleased: true}},
		rig.WrittenPlan{ID: "written", Plan: "plan", After: 1, Name: c("written", "Plan"), Text: c("written", "Lower them"), Stations: []id.Station{"station"}, Target: 9,
			Procedure: rig.Procedure{SafeWithin: 14, Kits: []id.Kit{"kit"}, Steps: []id.Commitment{c("written", "Raise the alarm")},
				Roles: []rig.PlanRole{{Name: c("written", "Lead"), Does: c("written", "Commands"), Competent: true, Count: 1, Beside: true}}},
			InForce: 739000, ReviewBy: 739365, Author: "person", State: rig.PlanReturned, DecidedBy: "other", Reason: c("written", "The kit is another"), Version: 2},
		rig.Authority{ID: "authority", Circuit: "circuit", Person: "person", From: 739000, Until: 739365, By: "other", Ended: true},
		credential.Reported{Certificate: "certificate", On: 739002, By: "other", Reference: c("reported/certificate", "R-77")},
		complaint.Complaint{ID: "complaint", Kind: complaint.Appeal, Way: complaint.ByLetter, Received: 739001, Filer: "other", From: c("complaint", "An employer"),
			Against: complaint.Matter{Session: "session", Trainee: "trainee", Certificate: "certificate"}, Text: c("complaint", "text"), Recorded: complaint.Signed{By: "person", At: nine},
			About: []id.Person{"person"}, Involved: []complaint.Involved{{By: "person", At: nine, People: []id.Person{"other"}}},
			Answers: []complaint.Answer{{By: "person", At: nine, Text: c("complaint", "answer")}},
			Decisions: []complaint.Decision{{By: "person", At: nine, Outcome: complaint.Upheld, Reason: c("complaint", "reason"), Done: c("complaint", "done"),
				Told: &complaint.Telling{By: "other", At: nine, On: 739010, How: complaint.ByPhone}}},
			Reopened: []complaint.Reopening{{By: "person", At: nine, Reason: c("complaint", "again")}}},
	}
}

func TestARecordOfEveryKindComesBackWhole(t *testing.T) {
	b := newBench(t)
	var records []any
	b.do(func(tx *Tx) error {
		records = oneOfEach(tx)
		return putFrom(tx, tx.Today()-1, records...)
	})
	left := map[string]bool{}
	for _, k := range kinds {
		left[k.name] = true
	}
	b.read(func(v *View) error {
		for i, put := range records {
			e, err := v.Entry(int64(i))
			if err != nil {
				return err
			}
			f, err := factOf(int64(i), e)
			if err != nil {
				return err
			}
			delete(left, e.Kind)
			if diff := cmp.Diff(put, f.record); diff != "" {
				t.Errorf("%s: %s", e.Kind, diff)
			}
			if missing := zeros(reflect.ValueOf(put), ""); len(missing) > 0 && e.ID != "other" && e.Kind != "attendance" {
				t.Errorf("%s: not given, so nothing shows that it comes back: %v", e.Kind, missing)
			}
			if e.Recorded() != nine.Add(-60) {
				t.Errorf("recorded at %s", e.RecordedAt)
			}
		}
		return nil
	})
	if len(left) > 0 {
		t.Errorf("no record of kinds %v", left)
	}
	b.equalsRebuilt()
	b.readBack(records)
}

// zeros names the members of a record that are at their zero value.
func zeros(v reflect.Value, at string) (out []string) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			out = append(out, zeros(v.Field(i), at+"."+v.Type().Field(i).Name)...)
		}
	case reflect.Slice:
		for i := range v.Len() {
			out = append(out, zeros(v.Index(i), at)...)
		}
		if v.Len() == 0 {
			out = append(out, at)
		}
	case reflect.Pointer:
		if v.IsNil() {
			return []string{at}
		}
		return zeros(v.Elem(), at)
	default:
		if v.IsZero() {
			out = append(out, at)
		}
	}
	return out
}

// spoken collects the ids and commitments that stand anywhere in a record.
func spoken(v reflect.Value, ids, said map[string]bool) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			spoken(v.Field(i), ids, said)
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoken(v.Index(i), ids, said)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			spoken(v.Elem(), ids, said)
		}
	case reflect.String:
		switch v.Interface().(type) {
		case id.Commitment:
			said[v.String()] = true
		case id.Profile: // names a part of the rule book, not a record
		default:
			if strings.HasSuffix(v.Type().PkgPath(), "/internal/id") {
				ids[v.String()] = true
			}
		}
	}
}

// TestEveryIDAndTextInARecordIsKnownToItsKind grows with the records: an id that
// is not checked could name nothing, a text that is not read could not be shown.
func TestEveryIDAndTextInARecordIsKnownToItsKind(t *testing.T) {
	b := newBench(t)
	b.do(func(tx *Tx) error {
		records := oneOfEach(tx)
		for _, record := range records {
			k, err := kindOfRecord(record)
			if err != nil {
				return err
			}
			ids, said := map[string]bool{}, map[string]bool{}
			spoken(reflect.ValueOf(record), ids, said)
			for _, known := range append(k.refers(record), k.id(record)) {
				delete(ids, known)
			}
			for _, known := range k.texts(record) {
				delete(said, string(known))
			}
			if len(ids) > 0 {
				t.Errorf("%s: ids that are not checked: %v", k.name, ids)
			}
			if k.slow && len(said) > 0 {
				t.Errorf("%s: %d texts that the reference does not read", k.name, len(said))
			}
		}
		return putAll(tx, records...)
	})
}

// readBack compares what the reading methods and the reference say.
func (b *bench) readBack(records []any) {
	b.t.Helper()
	b.read(func(v *View) error {
		r, err := v.Reference()
		if err != nil {
			return err
		}
		d := v.Today()
		var got []any
		one := func(record any, ok bool) {
			if ok {
				got = append(got, record)
			}
		}
		one(first(r.Yard, d))
		one(first(r.RuleBooks, d))
		one(first(r.Rigs, d))
		one(first(r.Zones, d))
		one(first(r.Circuits, d))
		one(first(r.Kits, d))
		one(first(r.Items, d))
		one(first(r.Quarantines, d))
		one(first(r.Stations, d))
		one(first(r.Shuts, d))
		one(first(r.Inspections, d))
		one(first(r.RescuePlans, d))
		one(first(r.Drills, d))
		one(first(r.Evidence, d))
		one(first(r.Outcomes, d))
		one(first(r.Exercises, d))
		one(first(r.Programmes, d))
		one(first(r.Employers, d))
		person, err := v.Person("person")
		one(person.Value, err == nil)
		other, err := v.Person("other")
		one(other.Value, err == nil)
		one(first(r.Staff, d))
		one(first(r.Intakes, d))
		trainee, err := v.Trainee("trainee")
		one(trainee.Value, err == nil)
		one(first(r.Appointments, d))
		duty, err := v.Duty("duty")
		one(duty.Value, err == nil)
		away, err := v.Away("away")
		one(away.Value, err == nil)
		low, err := v.NoHeight("low")
		one(low.Value, err == nil)
		one(first(r.Accounts, d))
		s, err := v.Session("session")
		one(s.Value, err == nil)
		attendance, err := v.Attendance("session")
		one(attendance[0], err == nil)
		results, err := v.Results("session")
		one(results[0], err == nil)
		code, err := row[people.OwnCode](v, "own-code", "code", "person")
		one(code.Value, err == nil)
		acceptances, err := v.Acceptances("session")
		one(acceptances[0], err == nil)
		certificate, err := v.CertificateByNumber(1042)
		one(certificate.Value, err == nil)
		brought, err := v.Batch("batch")
		one(brought.Value, err == nil)
		happened, err := v.Incident("incident")
		one(happened.Value, err == nil)
		read, err := v.Reading("reading")
		one(read.Value, err == nil)
		lists, err := v.CheckLists()
		if err != nil {
			return err
		}
		one(lists[rig.RescueKit], true)
		prepared, err := v.Preparation("session")
		one(prepared, err == nil)
		came, err := v.Arrivals("trainee")
		one(came[0], err == nil)
		stay, err := v.Stay("stay")
		one(stay.Value, err == nil)
		isolated, err := v.Isolation("circuit")
		one(isolated.Value, err == nil)
		written, err := v.WrittenPlan("written")
		one(written.Value, err == nil)
		authority, err := v.Authority("authority")
		one(authority.Value, err == nil)
		reported, err := v.Reported("certificate")
		one(reported[0], err == nil)
		complained, err := v.Complaint("complaint")
		one(complained.Value, err == nil)
		if diff := cmp.Diff(records, got, cmpopts.EquateEmpty()); diff != "" {
			b.t.Error(diff)
		}
		if len(r.StaffCertificates["person"]) != 1 || r.StaffName("person") != "Person" || r.StaffName("other") != "" {
			b.t.Errorf("staff: %v, %q, %q", r.StaffCertificates, r.StaffName("person"), r.StaffName("other"))
		}
		feast := r.Yard.All(d)[0].ClosedDays[0].Reason
		if r.Text(feast) != "Feast" || r.Text("unknown") != "" || r.RescuePlans.EntryOn("plan", d) < 0 || r.RescuePlans.EntryOn("plan", d-2) != -1 {
			b.t.Errorf("texts or entries of the reference are wrong")
		}
		return nil
	})
}

// first returns the only record of a table.
func first[K ~string, T any](t Table[K, T], d civil.Day) (any, bool) {
	all := t.All(d)
	return all[0], len(all) == 1
}
