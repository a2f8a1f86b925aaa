package founding

import (
	"context"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Paper is what one document says: from which day, and to which last valid day.
type Paper struct{ From, Until civil.Day }

// Qualifications are the papers of one person that let them teach, rescue and
// help, as a form gives them. A paper without days is left out.
type Qualifications struct {
	Person   id.Person
	Teaches  []id.Exercise
	Teaching Paper
	Rescue   Paper
	FirstAid Paper
	Other    Paper
	Holds    string // what Other is called by exercises that require it
}

// Qualify records papers of a person. Days are taken as printed: nothing is
// counted that no paper says.
func (f *Founder) Qualify(ctx context.Context, actor access.Actor, q Qualifications, key string) error {
	_, err := f.write(ctx, actor, access.RecordCertificate, key, "certificate", Of{}, q, func(d *desk) error {
		if _, err := d.View().Person(q.Person); err != nil {
			return err
		}
		number, err := d.View().LastCertificateNumber()
		if err != nil {
			return err
		}
		return d.qualify(q, &number)
	})
	return err
}

// qualify writes the papers of one person; number is the last one given out.
func (d *desk) qualify(q Qualifications, number *int) error {
	list, err := q.certificates()
	if err != nil {
		return err
	}
	for _, c := range list {
		*number++
		c.ID, c.Number, c.Person, c.State = id.Certificate(d.ID()), *number, q.Person, credential.Valid
		if c.From > d.Today() {
			return fault.Field("teaching_from", "%s is still to come. Record a paper once it counts.", c.From)
		}
		if _, err := d.Put("seen", 0, c); err != nil {
			return err
		}
	}
	return nil
}

// stated reports whether anything is said of a paper.
func (q Qualifications) stated() bool {
	none := Paper{}
	return len(q.Teaches) > 0 || q.Teaching != none || q.Rescue != none || q.FirstAid != none || q.Other != none || strings.TrimSpace(q.Holds) != ""
}

// certificates makes a certificate of each paper that is stated.
func (q Qualifications) certificates() ([]credential.Certificate, error) {
	bad := fault.Fields{}
	var out []credential.Certificate
	add := func(field string, p Paper, c credential.Certificate) {
		switch {
		case p == Paper{}:
			return
		case p.From == 0:
			bad.Add(field+"_from", "The first day is not stated. Take it from the paper.")
		case p.Until == 0:
			bad.Add(field+"_until", "The last valid day is not stated. Take it from the paper.")
		case p.Until < p.From:
			bad.Add(field+"_until", "The last valid day, %s, lies before the first, %s.", p.Until, p.From)
		}
		c.Completed, c.From, c.Until = p.From, p.From, p.Until
		out = append(out, c)
	}
	if len(q.Teaches) > 0 && q.Teaching == (Paper{}) {
		bad.Add("teaching_from", "From when they may teach what is ticked is not stated.")
	}
	if len(q.Teaches) == 0 && q.Teaching != (Paper{}) {
		bad.Add("teaches", "Days are given and no exercise is ticked. Tick what they may teach.")
	}
	for _, e := range q.Teaches {
		add("teaching", q.Teaching, credential.Certificate{Kind: credential.ToTeach, Exercise: e, Validity: "validity.teaches"})
	}
	add("rescue", q.Rescue, credential.Certificate{Kind: credential.ToRescue, Validity: "validity.rescue"})
	add("first_aid", q.FirstAid, credential.Certificate{Kind: credential.FirstAid, Holds: string(credential.FirstAid)})
	holds := strings.TrimSpace(q.Holds)
	if q.Other != (Paper{}) && holds == "" {
		bad.Add("holds", "Days are given and not what the paper is. Choose what exercises call it.")
	}
	if holds != "" && q.Other != (Paper{}) {
		add("other", q.Other, credential.Certificate{Kind: kindOfHold(holds), Holds: holds})
	}
	if len(out) == 0 && len(bad) == 0 {
		bad.Add("teaches", "No paper is given. Tick what they may teach, or give the days of a paper.")
	}
	return out, bad.Err()
}
