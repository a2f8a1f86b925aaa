package founding

import (
	"cmp"
	"context"
	"maps"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// CertificatePage is a certificate with how it came to be as it is and what lies
// ahead of its holder.
type CertificatePage struct {
	credential.Certificate
	Rev    int64
	Name   string            // of the holder, "" where it was erased
	Steps  []CertificateStep // newest first
	Coming []session.Session // of the holder, that stand, by start
}

// CertificateStep is one change of a certificate.
type CertificateStep struct {
	Move   credential.Move // "" where it was only recorded
	Act    string
	By     string // name, "" for nobody on record
	At     civil.Instant
	Counts civil.Day // the first day of what the step says
	Why    string
	Was    credential.Days // before the step; zero on the first
	Is     credential.Days
}

// Certificate returns one certificate. Error: fault.NotFound, also for one that
// was taken back with its batch.
func (f *Founder) Certificate(ctx context.Context, actor access.Actor, of id.Certificate) (out CertificatePage, err error) {
	if _, err := access.Require(actor, access.SeeCertificates); err != nil {
		return out, err
	}
	err = f.store.Read(ctx, func(v *store.View) error {
		row, err := v.Certificate(of)
		if err != nil {
			return err
		}
		out.Certificate, out.Rev = row.Value, row.Rev
		names, err := v.PersonNames(row.Value.Person)
		if err != nil {
			return err
		}
		out.Name = names[row.Value.Person]
		if out.Steps, err = certificateSteps(v, of); err != nil {
			return err
		}
		out.Coming, err = coming(v, row.Value.Person)
		return err
	})
	return out, err
}

// certificateSteps tells the entries of a certificate as steps. One move may have
// put several, one for each run of days that it changed.
func certificateSteps(v *store.View, of id.Certificate) (out []CertificateStep, err error) {
	list, err := v.CertificateSteps(of)
	if err != nil {
		return nil, err
	}
	var was credential.Days
	for i, s := range list {
		if i > 0 && s.Entry.Key == list[i-1].Entry.Key && len(s.Entry.Corrects) > 0 && len(list[i-1].Entry.Corrects) > 0 {
			continue
		}
		names, err := v.PersonNames(s.Entry.Actor)
		if err != nil {
			return nil, err
		}
		texts, err := v.Texts(s.Value.Why)
		if err != nil {
			return nil, err
		}
		step := CertificateStep{Act: s.Entry.Act, By: names[s.Entry.Actor], At: s.Entry.Recorded(), Counts: s.Entry.EffectiveDay, Why: texts[s.Value.Why], Was: was, Is: s.Value.Days()}
		if i > 0 {
			step.Move = credential.Move(s.Entry.Act)
		}
		was, out = step.Is, append(out, step)
	}
	slices.Reverse(out)
	return out, nil
}

// coming are a person's sessions that have not begun.
func coming(v *store.View, p id.Person) ([]session.Session, error) {
	trainees, err := v.TraineesOfPersons(p)
	if err != nil {
		return nil, err
	}
	ids := make([]id.Trainee, len(trainees))
	for i, t := range trainees {
		ids[i] = t.ID
	}
	list, err := v.SessionsOf([]id.Person{p}, ids, v.Now(), v.Zone().StartOfDay(v.Today()+366))
	if err != nil {
		return nil, err
	}
	list = slices.DeleteFunc(list, func(s session.Session) bool { return s.State == session.StoodDown || s.Start < v.Now() })
	slices.SortFunc(list, func(a, b session.Session) int {
		return cmp.Or(cmp.Compare(a.Start, b.Start), cmp.Compare(a.ID, b.ID))
	})
	return list, nil
}

// CertificateMove is what is done to a certificate, as a form gives it. Days are
// asked for by ToCorrect alone.
type CertificateMove struct {
	Move credential.Move
	Days credential.Days
	Why  string
}

// MoveCertificate corrects, suspends, withdraws or voids a certificate, or lets it
// stand again. A correction changes each run of days that was recorded since, so
// that no day keeps what the paper never said. Errors: fields; fault.Conflict
// where its state does not allow the move or somebody else was faster.
func (f *Founder) MoveCertificate(ctx context.Context, actor access.Actor, of Of, m CertificateMove, key string) error {
	_, err := f.write(ctx, actor, access.RecordCertificate, key, "certificate", of, m, func(d *desk) error {
		if d.fresh() {
			return gone("certificate")
		}
		row, err := d.View().Certificate(id.Certificate(d.id))
		if err != nil {
			return err
		}
		if _, err := credential.Next(row.Value.State, m.Move); err != nil {
			return err
		}
		if err := m.check(row.Value, d.Today()); err != nil {
			return err
		}
		why := d.Seal("certificate/"+d.id, "why", strings.TrimSpace(m.Why))
		if !m.Move.Past() {
			next := row.Value
			next.State, _ = credential.Next(next.State, m.Move)
			next.Why = why
			_, err := d.Put(string(m.Move), 0, next)
			return err
		}
		return d.correctCertificate(m, why)
	})
	return err
}

func (m CertificateMove) check(c credential.Certificate, today civil.Day) error {
	bad := fault.Fields{}
	if strings.TrimSpace(m.Why) == "" {
		bad.Add("why", "The reason is not stated. An auditor asks for it.")
	}
	if m.Move == credential.ToCorrect {
		maps.Copy(bad, m.Days.Check(today))
		if m.Days == c.Days() {
			bad.Add("until", "These are the days on record already.")
		}
	}
	return bad.Err()
}

// correctCertificate puts every run of days of the certificate anew. Of the
// entries that count from one day, the latest is what stands from it on.
func (d *desk) correctCertificate(m CertificateMove, why id.Commitment) error {
	steps, err := d.View().CertificateSteps(id.Certificate(d.id))
	if err != nil {
		return err
	}
	runs := map[civil.Day]store.CertificateStep{}
	for _, s := range steps {
		runs[s.Entry.EffectiveDay] = s
	}
	for _, from := range slices.Sorted(maps.Keys(runs)) {
		next := runs[from].Value
		if m.Move == credential.ToCorrect {
			next = next.WithDays(m.Days)
		} else if next.State, err = credential.Next(next.State, m.Move); err != nil {
			return err
		}
		next.Why = why
		if _, err := d.PutCorrecting(string(m.Move), from, []int64{runs[from].Index}, next); err != nil {
			return err
		}
	}
	return nil
}
