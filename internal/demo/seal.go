package demo

import (
	"slices"
	"strconv"

	came "rungbook/internal/arrival"
	"rungbook/internal/complaint"
	"rungbook/internal/credential"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/incident"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/session"
	"rungbook/internal/store"
	"rungbook/internal/weather"
)

// text3 is a text with the record and field it belongs to.
type text3 struct{ subject, field, text string }

// pen writes facts and seals their texts. A text that stays the same from one
// version of a record to the next keeps its commitment.
type pen struct {
	scenario *Scenario
	tx       *store.Tx
	sealed   map[text3]id.Commitment
}

func (p *pen) put(tx *store.Tx, facts []Fact) error {
	p.tx = tx
	for _, f := range facts {
		if r, ok := f.Record.(weather.Reading); ok && r.At > tx.Now() {
			continue // nobody has read it yet
		}
		if _, err := tx.Put(f.Act, f.Day, p.seal(f.Record)); err != nil {
			return err
		}
	}
	return nil
}

// text seals one text in place.
func (p *pen) text(subject, field string, c *id.Commitment) {
	if *c == "" {
		return
	}
	key := text3{subject, field, string(*c)}
	sealed, ok := p.sealed[key]
	if !ok {
		sealed = p.tx.Seal(subject, field, string(*c))
		p.sealed[key] = sealed
	}
	*c = sealed
}

// seal returns the record with commitments where the scenario holds plain text.
func (p *pen) seal(record any) any {
	switch r := record.(type) {
	case rig.Yard:
		return p.sealYard(r)
	case rig.Rig:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case rig.Station:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case rig.Zone:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case rig.Circuit, rig.Isolation:
		return p.sealCircuit(r)
	case rig.Kit:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case weather.Reading:
		p.text("reading/"+string(r.ID), "note", &r.Note)
		return r
	case rig.CheckList:
		return p.sealCheckList(r)
	case rig.Shut:
		p.text(string(r.ID), "note", &r.Note)
		return r
	case rig.RescuePlan:
		return p.sealPlan(r)
	case rig.WrittenPlan:
		return p.sealWritten(r)
	case curriculum.Outcome:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case curriculum.Exercise:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case curriculum.Programme:
		return p.sealProgramme(r)
	case people.Employer:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case people.Intake:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case people.Person:
		p.text(string(r.ID), "name", &r.Name)
		p.text(string(r.ID), "born", &r.Born)
		p.text(string(r.ID), "number", &r.Number)
		return r
	case session.Session:
		p.text(string(r.ID), "note", &r.Note)
		return r
	case session.Acceptance:
		p.text(string(r.ID), "reason", &r.Reason)
		return r
	}
	return p.sealDay(record)
}

// sealDay seals what happens on a day at the yard, and single items of kit.
func (p *pen) sealDay(record any) any {
	switch r := record.(type) {
	case came.Arrival:
		p.text(string(r.Trainee), "contact", &r.Contact)
		r.Kit = slices.Clone(r.Kit)
		for i := range r.Kit {
			p.text("arrival/"+string(r.Trainee), "issued/"+strconv.Itoa(i+1), &r.Kit[i].Serial)
		}
		return r
	case came.Stay:
		p.text(string(r.ID), "visitor", &r.Name)
		return r
	case credential.Reported:
		p.text("reported/"+string(r.Certificate), "reference", &r.Reference)
		return r
	case incident.Incident:
		p.text(string(r.ID), "note", &r.Note)
		return r
	case rig.Item:
		p.text("item/"+string(r.ID), "serial", &r.Serial)
		p.text("item/"+string(r.ID), "says", &r.Says)
		return r
	case rig.Evidence:
		return p.sealEvidence(r)
	case complaint.Complaint:
		return p.sealComplaint(r)
	}
	return record // holds no text
}

func (p *pen) sealEvidence(r rig.Evidence) rig.Evidence {
	of := "evidence/" + string(r.ID)
	p.text(of, "by", &r.By)
	p.text(of, "authority", &r.Authority)
	p.text(of, "file", &r.File.Name)
	r.Facts = slices.Clone(r.Facts)
	for i := range r.Facts {
		p.text(of, r.Facts[i].Asked, &r.Facts[i].Text)
	}
	return r
}

func (p *pen) sealYard(y rig.Yard) rig.Yard {
	p.text(string(y.ID), "name", &y.Name)
	closed := make([]rig.ClosedDay, len(y.ClosedDays))
	for i, d := range y.ClosedDays {
		p.text(string(y.ID), "closed day", &d.Reason)
		closed[i] = d
	}
	y.ClosedDays = closed
	return y
}

func (p *pen) sealProgramme(r curriculum.Programme) curriculum.Programme {
	p.text(string(r.ID), "name", &r.Name)
	units := make([]curriculum.Unit, len(r.Units))
	for i, u := range r.Units {
		p.text(string(r.ID), "unit", &u.Name)
		units[i] = u
	}
	r.Units = units
	return r
}

func (p *pen) sealCircuit(record any) any {
	switch r := record.(type) {
	case rig.Circuit:
		p.text(string(r.ID), "name", &r.Name)
		return r
	case rig.Isolation:
		return p.sealIsolation(r)
	}
	return record
}

// sealProcedure returns the procedure sealed; the scenario's own is left as it is.
func (p *pen) sealProcedure(of string, r *rig.Procedure) *rig.Procedure {
	if r == nil {
		return nil
	}
	out := *r
	out.Steps, out.Roles = slices.Clone(r.Steps), slices.Clone(r.Roles)
	for i := range out.Steps {
		p.text(of, "step", &out.Steps[i])
	}
	for i := range out.Roles {
		p.text(of, "role", &out.Roles[i].Name)
		p.text(of, "does", &out.Roles[i].Does)
	}
	return &out
}

func (p *pen) sealPlan(r rig.RescuePlan) rig.RescuePlan {
	p.text(string(r.ID), "name", &r.Name)
	p.text(string(r.ID), "text", &r.Text)
	r.Procedure = p.sealProcedure(string(r.ID), r.Procedure)
	return r
}

func (p *pen) sealWritten(r rig.WrittenPlan) rig.WrittenPlan {
	of := "written-plan/" + string(r.ID)
	p.text(of, "name", &r.Name)
	p.text(of, "text", &r.Text)
	r.Procedure = *p.sealProcedure(of, &r.Procedure)
	return r
}

func (p *pen) sealIsolation(r rig.Isolation) rig.Isolation {
	of := "isolation/" + string(r.Circuit)
	p.text(of, "permit", &r.Permit)
	if r.Test != nil {
		test := *r.Test
		p.text(of, "instrument", &test.Instrument)
		r.Test = &test
	}
	return r
}

func (p *pen) sealComplaint(r complaint.Complaint) complaint.Complaint {
	of := "complaint/" + string(r.ID)
	p.text(of, "text", &r.Text)
	p.text(of, "from", &r.From)
	r.Answers, r.Decisions = slices.Clone(r.Answers), slices.Clone(r.Decisions)
	for i := range r.Answers {
		p.text(of, "answer", &r.Answers[i].Text)
	}
	for i := range r.Decisions {
		p.text(of, "reason", &r.Decisions[i].Reason)
		p.text(of, "done", &r.Decisions[i].Done)
	}
	return r
}
