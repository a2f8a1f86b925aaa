package complaints

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
)

// Desk receives complaints and appeals and sees them through.
type Desk struct{ store *store.Store }

// New returns a desk over a store.
func New(s *store.Store) *Desk { return &Desk{s} }

// Filing is what somebody files in their own name.
type Filing struct {
	Kind    complaint.Kind
	Against complaint.Matter
	About   []id.Person
	Text    string
}

// File records what the actor files, as received today.
func (d *Desk) File(ctx context.Context, actor access.Actor, f Filing, key string) (id.Complaint, error) {
	return d.receive(ctx, actor, access.FileComplaint, f, key, func(tx *store.Tx) (complaint.Complaint, error) {
		c := complaint.Complaint{Kind: f.Kind, Way: complaint.ByForm, Received: tx.Today(), Filer: actor.Person, Against: f.Against, About: f.About}
		offered, err := offers(tx.View(), actor)
		if err != nil {
			return c, err
		}
		return c, offered.holds(f)
	}, f.Text, "")
}

// Came is what came otherwise, as somebody writes it down.
type Came struct {
	Filing
	Way      complaint.Way
	Received civil.Day
	Filer    id.Person // "" = nobody on record here
	From     string    // who else; "" where nobody is known
	Unnamed  bool      // nobody said who filed it
}

// Record writes down a complaint or an appeal that came by letter, by phone or in
// person.
func (d *Desk) Record(ctx context.Context, actor access.Actor, w Came, key string) (id.Complaint, error) {
	return d.receive(ctx, actor, access.HandleComplaint, w, key, func(tx *store.Tx) (complaint.Complaint, error) {
		c := complaint.Complaint{Kind: w.Kind, Way: w.Way, Received: w.Received, Filer: w.Filer, Against: w.Against, About: w.About}
		bad := fault.Fields{}
		named := w.Filer != "" || strings.TrimSpace(w.From) != ""
		switch {
		case w.Way == complaint.ByForm:
			bad.Add("way", "Say how it came.")
		case w.Unnamed && named:
			bad.Add("unnamed", "Somebody is named who filed it. Name them, or say that nobody is known: not both.")
		case !w.Unnamed && !named:
			bad.Add("from", "Choose or write who filed it, or say that nobody is known.")
		}
		return c, bad.Err()
	}, w.Text, w.From)
}

// receive is one complaint that comes in.
func (d *Desk) receive(ctx context.Context, actor access.Actor, a access.Action, content any, key string, make func(*store.Tx) (complaint.Complaint, error), text, from string) (id.Complaint, error) {
	role, err := access.Require(actor, a)
	if err != nil {
		return "", err
	}
	out, err := d.store.Write(ctx, store.Command{Key: key, Content: []any{a, content}, Actor: actor, Role: role},
		func(tx *store.Tx) (store.Outcome, error) {
			c, err := make(tx)
			if err != nil {
				return "", err
			}
			c.ID, c.Recorded = id.Complaint(tx.ID()), complaint.Signed{By: actor.Person, At: tx.Now()}
			c.About = slices.Compact(slices.Sorted(slices.Values(c.About)))
			c.Text, c.From = seal(tx, c.ID, "text", text), seal(tx, c.ID, "from", from)
			if err := c.Check(tx.Today()); err != nil {
				return "", err
			}
			if _, err := recorded(tx.View(), c.Against); err != nil {
				return "", err
			}
			_, err = tx.Put("received", 0, c)
			return store.Outcome(c.ID), err
		})
	return id.Complaint(out), err
}

// seal keeps a text of a complaint apart from the ledger.
func seal(tx *store.Tx, of id.Complaint, field, text string) id.Commitment {
	return tx.Seal("complaint/"+string(of), field, strings.TrimSpace(text))
}

// Row is a complaint in the list, with its last days in time.
type Row struct {
	Complaint complaint.Complaint
	AnswerBy  civil.Day // of the first answer; 0 = not stated, and so at once
	DecideBy  civil.Day
	ToTell    bool // whoever filed it has no account, and is still to be told what was decided
}

// Waits reports whether whoever filed it waits for a first answer.
func (r Row) Waits() bool { return r.Complaint.Open() && r.Complaint.Unanswered() }

// Late reports whether the first answer, or the decision, is overdue on a day.
func (r Row) Late(today civil.Day) (answer, decision bool) {
	return r.Waits() && r.AnswerBy < today, r.Complaint.Open() && r.DecideBy < today
}

// soon is how many days before a last day a complaint is pointed to: common practice.
const soon = 3

// Soon reports whether something is overdue or has its last day in the next days.
func (r Row) Soon(today civil.Day) bool {
	answer, decision := r.Late(today + soon)
	return answer || decision
}

func rowOf(ref *store.Reference, v *store.View, c complaint.Complaint) Row {
	yard, _ := ref.YardOn(v.Today())
	books := ref.RuleBooks.All(civil.LastDay)
	r := Row{Complaint: c}
	r.AnswerBy, _ = planning.DueAfter(yard, books, rulebook.ComplaintAnswerDays, c.Received)
	r.DecideBy, _ = planning.DueAfter(yard, books, rulebook.ComplaintDecisionDays, c.Since(v.Zone()))
	r.ToTell = c.ToTell(readsOwn(ref, v.Today(), c.Filer))
	return r
}

// readsOwn reports whether somebody reads on these pages what they filed.
func readsOwn(ref *store.Reference, today civil.Day, p id.Person) bool {
	return p != "" && slices.ContainsFunc(ref.Accounts.All(today), func(a access.Account) bool {
		return a.Person == p && !a.Ended && access.May(access.Actor{Account: a.ID, Person: p, Roles: a.Roles, Today: today}, access.FileComplaint)
	})
}

// OpenAppeals returns the appeals that are open against a session or a certificate, to
// whoever may see that: that they are there, and not a word of them.
func (d *Desk) OpenAppeals(ctx context.Context, actor access.Actor, m complaint.Matter) (out []id.Complaint, err error) {
	see := access.SeeSession
	if m.Certificate != "" {
		see = access.SeeCertificates
	}
	if _, err := access.Require(actor, see); err != nil {
		return nil, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		all, err := v.OpenComplaints()
		for _, c := range all {
			if c.AppealsAgainst(m) {
				out = append(out, c.ID)
			}
		}
		return err
	})
	return out, err
}

// List is complaints and appeals: the open ones, those that came first on top; then
// the decided ones, those decided last on top.
type List struct {
	Rows  []Row
	Ref   *store.Reference
	Zone  civil.Zone
	Today civil.Day
}

// List returns every complaint and appeal, without a word of what they say.
func (d *Desk) List(ctx context.Context, actor access.Actor) (List, error) {
	return d.list(ctx, actor, (*store.View).Complaints)
}

// Waiting returns those that wait for a decision.
func (d *Desk) Waiting(ctx context.Context, actor access.Actor) (List, error) {
	return d.list(ctx, actor, (*store.View).OpenComplaints)
}

func (d *Desk) list(ctx context.Context, actor access.Actor, of func(*store.View) ([]complaint.Complaint, error)) (out List, err error) {
	if _, err := access.Require(actor, access.SeeComplaints); err != nil {
		return out, err
	}
	err = d.store.Read(ctx, func(v *store.View) error {
		if out.Ref, err = v.Reference(); err != nil {
			return err
		}
		out.Zone, out.Today = v.Zone(), v.Today()
		all, err := of(v)
		for _, c := range all {
			out.Rows = append(out.Rows, rowOf(out.Ref, v, c))
		}
		return err
	})
	slices.SortStableFunc(out.Rows, func(a, b Row) int { return cmp.Compare(decidedAt(b), decidedAt(a)) })
	return out, err
}

// decidedAt sorts what is open before what is decided.
func decidedAt(r Row) civil.Instant {
	if d, ok := r.Complaint.Decision(); ok {
		return d.At
	}
	return 1 << 62
}
