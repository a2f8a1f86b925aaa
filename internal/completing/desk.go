package completing

import (
	"context"
	"slices"
	"sync"

	"rungbook/internal/access"
	"rungbook/internal/arrival"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/session"
	"rungbook/internal/store"
)

// Desk is where completed programmes become certificates.
type Desk struct {
	store *store.Store
	kept  keptList
}

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{store: s} }

// keptList is the list last worked out. It holds as long as no entry is written
// and the minute lasts.
type keptList struct {
	mu    sync.Mutex
	known bool
	head  int64
	now   civil.Instant
	list  []Proposal
}

// List is what is proposed, those that may be given first.
type List struct {
	Proposals []Proposal
	Names     map[id.Trainee]string
	Ref       *store.Reference
	Zone      civil.Zone
}

// Ready counts those that may be given now.
func (l List) Ready() (n int) {
	for _, p := range l.Proposals {
		if len(p.Holds) == 0 {
			n++
		}
	}
	return n
}

// Proposals returns every trainee who is complete and has no certificate yet. The
// proposals are shared: they are only to be read.
func (d *Desk) Proposals(ctx context.Context, actor access.Actor) (out List, err error) {
	if _, err := access.Require(actor, access.SeeCertificates); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		out.Zone = v.Zone()
		if out.Proposals, err = d.proposals(v, out.Ref); err != nil {
			return err
		}
		var of []id.Trainee
		for _, p := range out.Proposals {
			of = append(of, p.Trainee.ID)
		}
		out.Names, err = v.TraineeNames(of...)
		return err
	})
	return out, err
}

func (d *Desk) proposals(v *store.View, ref *store.Reference) ([]Proposal, error) {
	k := &d.kept
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.known && k.head == v.Head() && k.now == v.Now() {
		return k.list, nil
	}
	k.known = false
	may, err := candidates(v)
	if err != nil {
		return nil, err
	}
	k.list = nil
	for _, t := range may {
		f, err := open(v, ref, t)
		if err != nil {
			return nil, err
		}
		if p, ok := judge(f); ok {
			k.list = append(k.list, p)
		}
	}
	order(k.list)
	k.known, k.head, k.now = true, v.Head(), v.Now()
	return k.list, nil
}

// candidates are the trainees without a certificate of their enrolment who may be
// complete: each exercise that they came for was completed, or was run in a session
// that is not signed.
func candidates(v *store.View) (out []people.Trainee, err error) {
	open, err := v.WithoutCertificate()
	if err != nil {
		return nil, err
	}
	of := make([]id.Trainee, len(open))
	for i, t := range open {
		of[i] = t.ID
	}
	done, err := v.Completions(of...)
	if err != nil {
		return nil, err
	}
	type step struct {
		trainee  id.Trainee
		exercise id.Exercise
	}
	may := map[step]bool{}
	for _, c := range done {
		may[step{c.Trainee, c.Exercise}] = true
	}
	unsigned, err := v.UnderWay()
	if err != nil {
		return nil, err
	}
	for _, s := range unsigned {
		for _, t := range s.Trainees {
			may[step{t, s.Exercise}] = true
		}
	}
	for _, t := range open {
		if !slices.ContainsFunc(t.Needs, func(e id.Exercise) bool { return !may[step{t.ID, e}] }) {
			out = append(out, t)
		}
	}
	return out, nil
}

// open reads all that the records say of one enrolment.
func open(v *store.View, ref *store.Reference, t people.Trainee) (f file, err error) {
	f = file{trainee: t, zone: v.Zone(), books: ref.RuleBooks.All(civil.LastDay)}
	f.intake, _ = ref.Intakes.On(t.Intake, v.Today())
	arrivals, err := v.Arrivals(t.ID)
	if err != nil {
		return f, err
	}
	f.replaced = len(arrivals) > 0 && arrivals[0].State == arrival.Replaced
	if f.certificates, err = v.CertificatesOf(t.Person); err != nil {
		return f, err
	}
	all, err := v.SessionsOfTrainees([]id.Trainee{t.ID})
	if err != nil {
		return f, err
	}
	minutes, err := credited(v, t)
	if err != nil {
		return f, err
	}
	last := f.intake.From
	for _, s := range all {
		ran := s.State.Signed() || s.State == session.UnderWay || s.State == session.Booked && s.End <= v.Now()
		if s.Trial || !ran || !slices.Contains(s.Trainees, t.ID) {
			continue
		}
		h := held{session: s, minutes: minutes[s.ID]}
		h.exercise, _ = ref.Exercises.On(s.Exercise, f.zone.DayOf(s.Start))
		if h.attendance, _, err = v.Roll(s.ID); err != nil {
			return f, err
		}
		if h.results, _, err = v.Assessed(s.ID); err != nil {
			return f, err
		}
		last = max(last, f.zone.DayOf(s.Start))
		f.held = append(f.held, h)
	}
	f.programme, _ = ref.Programmes.On(f.intake.Programme, last)
	return f, nil
}

// credited are the minutes of each session that count for an enrolment.
func credited(v *store.View, t people.Trainee) (map[id.Session]civil.Minutes, error) {
	rows, err := v.HoursOf(t.Person)
	out := map[id.Session]civil.Minutes{}
	for _, h := range rows {
		if h.Trainee == t.ID {
			out[h.Session] += h.Minutes
		}
	}
	return out, err
}

// Page is one proposal with all that its page says.
type Page struct {
	Proposal
	Name  string
	Dates credential.Dates // of a certificate that renews none
	// Until says why the dates can't be known without a printed last valid day;
	// "" where they are.
	Until  string
	Calls  []string                 // what exercises may call the certificate
	Called string                   // what the last certificate of the programme was called
	Cost   credential.Cost          // of a failure on the way
	Renews []credential.Certificate // that the person holds and it might renew
	Ref    *store.Reference
	Zone   civil.Zone
}

// Proposal returns one proposal. Error: fault.NotFound for a trainee who is not
// complete, or whose certificate was given.
func (d *Desk) Proposal(ctx context.Context, actor access.Actor, of id.Trainee) (out Page, err error) {
	if _, err := access.Require(actor, access.SeeCertificates); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		f, p, err := proposed(v, of)
		if err != nil {
			return err
		}
		out = Page{Proposal: p, Zone: v.Zone()}
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		names, err := v.TraineeNames(of)
		if err != nil {
			return err
		}
		out.Name = names[of]
		if out.Dates, err = credential.Issue(out.Ref.RuleBooks.All(civil.LastDay), p.Programme.Validity, p.Completed, 0); err != nil {
			if fault.Of(err) != fault.Invalid {
				return err
			}
			out.Until = err.Error()
		}
		out.Cost = credential.CostOf(out.Ref.RuleBooks.All(civil.LastDay), p.Programme.Validity, p.Completed)
		out.Calls, out.Called, err = called(v, out.Ref, p)
		out.Renews = renewable(f, out.Called)
		return err
	})
	return out, err
}

// proposed judges one enrolment.
func proposed(v *store.View, of id.Trainee) (f file, p Proposal, err error) {
	row, err := v.Trainee(of)
	if err != nil {
		return f, p, err
	}
	ref, err := v.Reference()
	if err != nil {
		return f, p, err
	}
	if f, err = open(v, ref, row.Value); err != nil {
		return f, p, err
	}
	if c := f.given(); c != "" {
		return f, p, fault.New(fault.NotFound, "The certificate of this course was given already. It stands among the certificates of the person.")
	}
	p, ok := judge(f)
	if !ok {
		return f, p, fault.New(fault.NotFound, "No certificate is proposed: an outcome of the programme, or an exercise that they came for, is not shown as competent in a session that was held.")
	}
	return f, p, nil
}

// called lists what exercises require a trainee to hold, and how the programme's
// last certificate was called.
func called(v *store.View, ref *store.Reference, p Proposal) (all []string, last string, err error) {
	for _, e := range ref.Exercises.All(v.Today()) {
		all = append(all, e.Requires...)
	}
	if last, err = v.CertificateCalled(p.Programme.ID); last != "" {
		all = append(all, last)
	}
	slices.Sort(all)
	return slices.Compact(all), last, err
}

// renewable are the certificates of the same name that stand: the new one may be a
// refresher of one of them.
func renewable(f file, name string) (out []credential.Certificate) {
	for _, c := range f.certificates {
		if c.State == credential.Valid && c.Holds == name && name != "" && c.Until != 0 && c.From != 0 {
			out = append(out, c)
		}
	}
	return out
}
