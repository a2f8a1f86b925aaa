package completing

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
)

// due returns the last day on which a completion is reported in time: so many
// workdays of the yard after the completion day, by the rule book in force on it. ok
// is false where it is not stated: then it is due at once.
func due(y rig.Yard, books []rulebook.Version, completed civil.Day) (last civil.Day, ok bool) {
	return planning.DueAfter(y, books, rulebook.ReportWorkingDays, completed)
}

// Report is a certificate that was given here and of which the scheme was not told,
// with what such a report needs.
type Report struct {
	Certificate credential.Certificate
	Due         civil.Day // the last day in time; 0 = not stated, and so at once
	Name        string    // as on the identity that was seen; "" if erased
	Number      string    // at the scheme; "" where none is on record
	Was         civil.Day // last valid day of the certificate that it renewed, 0 = none
	Sessions    int       // signed ones that it rests on
	Lacks       []Lack
}

// Late reports whether the report's last day in time has passed.
func (r Report) Late(today civil.Day) bool { return r.Due < today }

// Lack is a thing that a report needs and the records don't say; a closed list.
type Lack string

// What may be lacking, as it completes "… is not on record".
const (
	LacksName     Lack = "the name"
	LacksNumber   Lack = "their number at the scheme"
	LacksSeen     Lack = "that this number was seen when they came"
	LacksIdentity Lack = "that their identity was seen when they came"
	LacksSessions Lack = "a signed session that it rests on"
)

// ToReport is what the scheme is still to be told, the oldest first.
type ToReport struct {
	Reports []Report
	Ref     *store.Reference
	Today   civil.Day
}

// Late counts those whose last day has passed.
func (t ToReport) Late() (n int) {
	for _, r := range t.Reports {
		if r.Late(t.Today) {
			n++
		}
	}
	return n
}

// ToReport returns the completions that are not reported yet.
func (d *Desk) ToReport(ctx context.Context, actor access.Actor) (ToReport, error) {
	return d.unreported(ctx, actor, (*Report).fill)
}

// Unreported is ToReport without what each report needs: enough to count them.
func (d *Desk) Unreported(ctx context.Context, actor access.Actor) (ToReport, error) {
	return d.unreported(ctx, actor, func(*Report, *store.View) error { return nil })
}

func (d *Desk) unreported(ctx context.Context, actor access.Actor, fill func(*Report, *store.View) error) (out ToReport, err error) {
	if _, err := access.Require(actor, access.SeeCertificates); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		out.Today = v.Today()
		list, err := v.NotReported()
		if err != nil {
			return err
		}
		yard, _ := out.Ref.YardOn(v.Today())
		books := out.Ref.RuleBooks.All(civil.LastDay)
		for _, c := range list {
			r := Report{Certificate: c}
			r.Due, _ = due(yard, books, c.Completed)
			if err := fill(&r, v); err != nil {
				return err
			}
			out.Reports = append(out.Reports, r)
		}
		slices.SortStableFunc(out.Reports, func(a, b Report) int { return cmp.Compare(a.Certificate.Completed, b.Certificate.Completed) })
		return nil
	})
	return out, err
}

// fill adds what the report needs, and names what is missing of it.
func (r *Report) fill(v *store.View) error {
	who, err := v.Person(r.Certificate.Person)
	if err != nil {
		return err
	}
	texts, err := v.Texts(who.Value.Name, who.Value.Number)
	if err != nil {
		return err
	}
	r.Name, r.Number = texts[who.Value.Name], texts[who.Value.Number]
	arrivals, err := v.Arrivals(r.Certificate.Trainee)
	if err != nil {
		return err
	}
	var came arrival.Arrival
	if len(arrivals) > 0 {
		came = arrivals[0]
	}
	done, err := v.Completions(r.Certificate.Trainee)
	if err != nil {
		return err
	}
	r.Sessions = len(done)
	if r.Was, err = renewedBy(v, r.Certificate); err != nil {
		return err
	}
	for _, x := range []struct {
		there bool
		lack  Lack
	}{{r.Name != "", LacksName}, {r.Number != "", LacksNumber}, {came.Number != nil, LacksSeen}, {came.Identity != nil, LacksIdentity}, {r.Sessions > 0, LacksSessions}} {
		if !x.there {
			r.Lacks = append(r.Lacks, x.lack)
		}
	}
	return nil
}

// renewedBy returns the last valid day of the certificate that one replaced: of the
// same name, valid before it was given and replaced since.
func renewedBy(v *store.View, c credential.Certificate) (was civil.Day, err error) {
	all, err := v.CertificatesOf(c.Person)
	for _, old := range all {
		if old.State == credential.Replaced && old.Holds == c.Holds && c.Holds != "" && old.From < c.From {
			was = max(was, old.Until)
		}
	}
	return was, err
}

// Told is what somebody says of a report that they made.
type Told struct {
	Certificate id.Certificate
	On          civil.Day
	Reference   string
}

// Reported notes that somebody told the scheme of a completion. It records that and
// sends nothing. Errors: fields; fault.Conflict where it was noted before.
func (d *Desk) Reported(ctx context.Context, actor access.Actor, t Told, key string) error {
	role, err := access.Require(actor, access.RecordCertificate)
	if err != nil {
		return err
	}
	_, err = d.store.Write(ctx, store.Command{Key: key, Content: []any{access.RecordCertificate, "reported", t}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			c, err := tx.View().Certificate(t.Certificate)
			if err != nil {
				return "", err
			}
			if c.Value.Kind != credential.ForProgramme || c.Value.Trainee == "" || c.Value.State == credential.Void {
				return "", fault.New(fault.Conflict, "This certificate was not given here for a programme, or is void: there is nothing to report.")
			}
			before, err := tx.View().Reported(t.Certificate)
			if err != nil {
				return "", err
			}
			if len(before) > 0 {
				return "", fault.New(fault.Conflict, "It is noted already that this was reported, on %s.", before[0].On)
			}
			r := credential.Reported{Certificate: t.Certificate, On: t.On, By: actor.Person, Reference: tx.Seal("reported/"+string(t.Certificate), "reference", strings.TrimSpace(t.Reference))}
			if err := r.Check(c.Value, tx.Today()); err != nil {
				return "", err
			}
			_, err = tx.Put("reported", 0, r)
			return store.Outcome(t.Certificate), err
		})
	return err
}

// ReportOf is what is on record of a report.
type ReportOf struct {
	credential.Reported
	By, Reference string // "" where erased
}

// ReportOf returns the report of a certificate; ok is false where there is none.
func (d *Desk) ReportOf(ctx context.Context, actor access.Actor, of id.Certificate) (out ReportOf, ok bool, err error) {
	if _, err := access.Require(actor, access.SeeCertificates); err != nil {
		return out, false, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		list, err := v.Reported(of)
		if err != nil || len(list) == 0 {
			return err
		}
		ok, out.Reported = true, list[0]
		names, err := v.PersonNames(out.Reported.By)
		if err != nil {
			return err
		}
		texts, err := v.Texts(out.Reported.Reference)
		out.By, out.Reference = names[out.Reported.By], texts[out.Reported.Reference]
		return err
	})
	return out, ok, err
}
