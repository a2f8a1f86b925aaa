package store

import (
	"rungbook/internal/complaint"
	"rungbook/internal/id"
)

func complaintKind() *kind {
	return kindOf("complaint", traits[complaint.Complaint]{
		table: "complaint",
		id:    func(c complaint.Complaint) string { return string(c.ID) },
		texts: func(c complaint.Complaint) []id.Commitment { return c.Texts() },
		refers: func(c complaint.Complaint) []string {
			out := []string{string(c.Filer), string(c.Recorded.By), string(c.Against.Session), string(c.Against.Trainee), string(c.Against.Certificate)}
			out = append(out, ids(c.About...)...)
			for _, i := range c.Involved {
				out = append(append(out, string(i.By)), ids(i.People...)...)
			}
			for _, a := range c.Answers {
				out = append(out, string(a.By))
			}
			for _, d := range c.Decisions {
				if out = append(out, string(d.By)); d.Told != nil {
					out = append(out, string(d.Told.By))
				}
			}
			for _, r := range c.Reopened {
				out = append(out, string(r.By))
			}
			return out
		},
		columns: []string{"received", "filer", "waits"},
		values:  func(c complaint.Complaint) []any { return []any{c.Received.String(), orNull(c.Filer), c.Open()} },
	})
}

// Complaint returns one complaint or appeal as it stands. Error: fault.NotFound.
func (v *View) Complaint(of id.Complaint) (Row[complaint.Complaint], error) {
	return row[complaint.Complaint](v, "complaint", "complaint or appeal", string(of))
}

// OpenComplaints returns those that wait for a decision, by the day they came.
func (v *View) OpenComplaints() ([]complaint.Complaint, error) {
	return list(v, scanBody[complaint.Complaint], `SELECT r.body FROM complaint AS r
		WHERE r.waits = 1 AND r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.received, r.entry, r.id`)
}

// Complaints returns every complaint and appeal, by the day they came.
func (v *View) Complaints() ([]complaint.Complaint, error) {
	return list(v, scanBody[complaint.Complaint], `SELECT r.body FROM complaint AS r
		WHERE r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.received, r.entry, r.id`)
}

// ComplaintsOf returns what a person filed, the latest first.
func (v *View) ComplaintsOf(p id.Person) ([]complaint.Complaint, error) {
	return list(v, scanBody[complaint.Complaint], `SELECT r.body FROM complaint AS r
		WHERE r.filer = ?3 AND r.until_day = 'open' AND `+v.known("r")+` ORDER BY r.received DESC, r.entry DESC, r.id`, string(p))
}

// ComplaintHistory returns every revision of a complaint known to the view.
func (v *View) ComplaintHistory(of id.Complaint) ([]Revision[complaint.Complaint], error) {
	return revisions[complaint.Complaint](v, "complaint", string(of))
}
