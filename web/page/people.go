package page

import (
	"slices"

	"rungbook/web/ui"
)

// next and notes say whether any person of the list has a next session or
// something amiss; a column with nothing in it is left out.
func (p People) next() bool {
	return slices.ContainsFunc(p.Rows, func(r PersonRow) bool { return r.Next.Text != "" })
}

func (p People) notes() bool {
	return slices.ContainsFunc(p.Rows, func(r PersonRow) bool { return r.Note != "" })
}

func (p People) columns() []ui.Column {
	columns := []ui.Column{{Head: "Name"}, {Head: "Part"}, {Head: "Employer"}, {Head: "Intake"}}
	if p.next() {
		columns = append(columns, ui.Column{Head: "Next session"})
	}
	if p.notes() {
		columns = append(columns, ui.Column{Head: "Note"})
	}
	return columns
}

// sessionList is sessions as one person's record shows them.
type sessionList []PersonSession

func (l sessionList) parts() bool {
	return slices.ContainsFunc(l, func(s PersonSession) bool { return s.Part != "" })
}

func (l sessionList) attendance() bool {
	return slices.ContainsFunc(l, func(s PersonSession) bool { return s.Attendance != "" })
}

func (l sessionList) lengths() bool {
	return slices.ContainsFunc(l, func(s PersonSession) bool { return s.Length != "" })
}

func (l sessionList) columns() []ui.Column {
	columns := []ui.Column{{Head: "Day"}, {Head: "Time"}, {Head: "Exercise"}, {Head: "Station"}}
	if l.parts() {
		columns = append(columns, ui.Column{Head: "As"})
	}
	if l.attendance() {
		columns = append(columns, ui.Column{Head: "Attendance"})
	}
	if l.lengths() {
		columns = append(columns, ui.Column{Head: "Length", Num: true})
	}
	return append(columns, ui.Column{Head: "State"})
}

// resultList is what sessions found of one person's outcomes.
type resultList []Result

func (l resultList) signers() bool {
	return slices.ContainsFunc(l, func(r Result) bool { return r.By != "" })
}

func (l resultList) columns() []ui.Column {
	columns := []ui.Column{{Head: "Outcome"}, {Head: "Result"}, {Head: "Session"}, {Head: "Signed by"}}
	if !l.signers() {
		return columns[:3]
	}
	return columns
}

// months parts the certificates where the month of their last valid day changes.
func (c Certificates) months() [][]CertificateRow {
	var out [][]CertificateRow
	for _, r := range c.Rows {
		if n := len(out); n > 0 && out[n-1][0].Month == r.Month {
			out[n-1] = append(out[n-1], r)
			continue
		}
		out = append(out, []CertificateRow{r})
	}
	return out
}

// notes says whether anything stands in the way of any trainee of the intake.
func (p Intake) notes() bool {
	return slices.ContainsFunc(p.Trainees, func(t IntakeTrainee) bool { return t.Note != "" })
}

func (p Intake) columns() []ui.Column {
	columns := []ui.Column{{Head: "Trainee"}, {Head: "Progress"}, {Head: "Next session"}, {Head: "Note"}}
	if !p.notes() {
		return columns[:3]
	}
	return columns
}
