package httpd

import (
	"net/http"
	"strconv"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/complaint"
	"rungbook/internal/complaints"
	"rungbook/internal/records"
	"rungbook/internal/verdict"
	"rungbook/web"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// complaintRoutes are complaints and appeals: filed by whoever is on record here or
// written down, answered, decided by somebody who had no part in them.
func complaintRoutes() []route {
	return []route{
		{get, "/complaints/new", access.FileComplaint, fileComplaintForm},
		{post, "/complaints/new", access.FileComplaint, fileComplaint},
		{get, "/complaints/mine", access.FileComplaint, ownComplaintsPage},
		{get, "/complaints/came", access.HandleComplaint, complaintCameForm},
		{post, "/complaints/came", access.HandleComplaint, complaintCame},
		{get, "/complaints", access.SeeComplaints, complaintsPage},
		{get, "/complaints/{complaint}", access.SeeComplaints, complaintPage},
		{post, "/complaints/{complaint}/answer", access.HandleComplaint, answerComplaint},
		{post, "/complaints/{complaint}/involved", access.HandleComplaint, involveInComplaint},
		{post, "/complaints/{complaint}/decide", access.HandleComplaint, decideComplaint},
		{post, "/complaints/{complaint}/told", access.HandleComplaint, tellOfComplaint},
		{post, "/complaints/{complaint}/again", access.HandleComplaint, reopenComplaint},
	}
}

var complaintKinds = map[complaint.Kind]string{complaint.Grievance: "Complaint", complaint.Appeal: "Appeal"}

var wayWords = map[complaint.Way]string{
	complaint.ByForm: "form on these pages", complaint.ByLetter: "letter", complaint.ByMail: "e-mail", complaint.ByPhone: "phone", complaint.InPerson: "word of mouth",
}

var outcomeWords = map[complaint.Outcome]string{
	complaint.Upheld: "upheld", complaint.UpheldInPart: "upheld in part", complaint.NotUpheld: "not upheld", complaint.Withdrawn: "withdrawn",
}

// countHeads says what is counted in a year, as columns and choices do.
var countHeads = map[complaints.Count]string{
	complaints.CountReceived: "Received", complaints.CountAppeals: "Of these appeals", complaints.CountDecided: "Decided", complaints.CountUpheld: "Upheld",
	complaints.CountInPart: "Upheld in part", complaints.CountNot: "Not upheld", complaints.CountWithdrawn: "Withdrawn",
}

// chosenComplaints narrows the list as its address says.
func (v *visit) chosenComplaints(list complaints.List) (out complaints.List, says string) {
	q := v.r.URL.Query()
	year, of := int(numberField(q, "year")), complaints.Count(q.Get("of"))
	out = list.Only(year, of)
	if year == 0 {
		return out, ""
	}
	head := countHeads[of]
	if head == "" {
		head = countHeads[complaints.CountReceived]
	}
	if of == complaints.CountAppeals {
		head = "Appeals received"
	}
	return out, head + " in " + strconv.Itoa(year)
}

func complaintsPage(v *visit) error {
	all, err := v.Complaints.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.ref = all.Ref
	list, chosen := v.chosenComplaints(all)
	p := page.Complaints{Shell: v.page("Complaints and appeals", "certificates"), Finding: complaintsFinding(all), Chosen: chosen}
	if access.May(v.actor, access.HandleComplaint) {
		p.Do = append(p.Do, ui.Link{Text: "Write down one that came", Href: "/complaints/came"})
	}
	if access.May(v.actor, access.FileComplaint) {
		p.Do = append(p.Do, ui.Link{Text: "My own", Href: "/complaints/mine"})
	}
	for _, r := range list.Rows {
		row := v.complaintRow(r)
		if r.Complaint.Open() {
			p.Open = append(p.Open, row)
		} else {
			p.Closed = append(p.Closed, row)
		}
	}
	for _, c := range complaints.Counts() {
		p.Heads = append(p.Heads, countHeads[c])
	}
	for _, y := range all.Years() {
		row := page.ComplaintYear{Year: strconv.Itoa(y.Year)}
		for _, c := range complaints.Counts() {
			cell := ui.Link{Text: strconv.Itoa(y.Counts[c])}
			if y.Counts[c] > 0 {
				cell.Href = "/complaints?year=" + row.Year + "&of=" + string(c)
			}
			row.Cells = append(row.Cells, cell)
		}
		p.Years = append(p.Years, row)
	}
	p.Shell.TakeOut = v.takeOut("complaints")
	return v.show(http.StatusOK, page.ComplaintsPage(p))
}

func complaintsFinding(list complaints.List) string {
	open, late, tell := 0, 0, 0
	for _, r := range list.Rows {
		if r.Complaint.Open() {
			open++
		}
		if r.ToTell {
			tell++
		}
		if answer, decision := r.Late(list.Today); answer || decision {
			late++
		}
	}
	told := ""
	if tell > 0 {
		told = " " + capital(web.Count(tell, "decision is", "decisions are")) + " still to be told to whoever filed it."
	}
	if open == 0 {
		return "Nothing is open." + told
	}
	out := web.Count(open, "complaint or appeal is open", "complaints and appeals are open")
	if late > 0 {
		out += "; " + strconv.Itoa(late) + " overdue"
	}
	return out + "." + told
}

// complaintTitle names one without a word of what it says.
func (v *visit) complaintTitle(c complaint.Complaint) string {
	return complaintKinds[c.Kind] + " of " + v.words.Day(c.Received)
}

func (v *visit) complaintRow(r complaints.Row) page.ComplaintRow {
	c := r.Complaint
	out := page.ComplaintRow{What: ui.Link{Text: v.complaintTitle(c), Href: "/complaints/" + string(c.ID)}, Against: matterWords(c.Against), Received: web.FullDay(c.Received), State: complaintState(c)}
	if d, ok := c.Decision(); ok {
		if out.Due = v.words.Day(v.words.Zone.DayOf(d.At)); r.ToTell {
			out.Level, out.Due = verdict.Cautions, out.Due+", still to be told"
		}
		return out
	}
	out.Level, out.Due = v.complaintDue(r)
	return out
}

// matterWords says what it is against and nothing more.
func matterWords(m complaint.Matter) string {
	switch {
	case m.Certificate != "":
		return "a certificate"
	case m.NotGiven():
		return "a certificate not given"
	case m.Result():
		return "a result"
	case m.Session != "":
		return "a session"
	}
	return "told in words"
}

func complaintState(c complaint.Complaint) string {
	if d, ok := c.Decision(); ok {
		return outcomeWords[d.Outcome]
	}
	return spaced(c.State())
}

// complaintDue says what waits and until when.
func (v *visit) complaintDue(r complaints.Row) (verdict.Level, string) {
	answer, decision := r.Late(v.today)
	level := verdict.Clear
	switch {
	case answer || decision:
		level = verdict.Stops
	case r.Soon(v.today):
		level = verdict.Cautions
	}
	text := ""
	if r.Waits() {
		text = v.inTime("first answer", r.AnswerBy)
	}
	if !r.Waits() || decision {
		if text != "" {
			text += "; "
		}
		text += v.inTime("decision", r.DecideBy)
	}
	return level, text
}

// inTime says until when something is in time.
func (v *visit) inTime(what string, by civil.Day) string {
	switch {
	case by == 0:
		return what + " at once: the rule book or the yard’s hours state no last day"
	case by < v.today:
		return what + " was due by " + v.words.Day(by)
	}
	return what + " by " + v.words.Day(by)
}

// noteOfComplaints puts a line above a page for each complaint or appeal of which
// something is overdue or due soon, and one for the others that are open.
func (v *visit) noteOfComplaints() error {
	if !access.May(v.actor, access.SeeComplaints) {
		return nil
	}
	list, err := v.Complaints.Waiting(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	others := 0
	for _, r := range list.Rows {
		level, due := v.complaintDue(r)
		if !r.Soon(v.today) {
			others++
			continue
		}
		n := ui.Notice{Level: level, Word: "Due soon", Text: v.complaintTitle(r.Complaint) + ", against " + againstWords(r.Complaint.Against) + ": " + due + ".",
			Link: ui.Link{Text: "Open the " + string(r.Complaint.Kind), Href: "/complaints/" + string(r.Complaint.ID)}}
		if level == verdict.Stops {
			n.Word = "Overdue"
		}
		v.shell.Notices = append(v.shell.Notices, n)
	}
	if others > 0 {
		v.shell.Notices = append(v.shell.Notices, ui.Notice{Plain: true, Text: capital(web.Count(others, "complaint or appeal waits", "complaints and appeals wait")) + " for an answer or a decision.",
			Link: ui.Link{Text: "Open complaints and appeals", Href: "/complaints"}})
	}
	return nil
}

func againstWords(m complaint.Matter) string {
	if m.Told() {
		return "what its text tells"
	}
	return matterWords(m)
}

func complaintList(v *visit, t *taking) error {
	all, err := v.Complaints.List(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	list, chosen := v.chosenComplaints(all)
	return v.fromRecords(t, func(*records.Lists) error {
		if err := t.begin(v, "Complaints and appeals", filters("Only", chosen)...); err != nil {
			return err
		}
		if err := t.heads("What", "Against", "Came by", "Received", "State", "First answer by", "Answers", "Decide by", "Decided", "Outcome", "Opened again", "Complaint", "Told on", "Told by way of", "Still to be told"); err != nil {
			return err
		}
		return each(t, list.Rows, func(r complaints.Row) []any {
			c := r.Complaint
			row := []any{complaintKinds[c.Kind], matterWords(c.Against), wayWords[c.Way], c.Received, spaced(c.State()), r.AnswerBy, len(c.Answers), r.DecideBy, "", "", len(c.Reopened), string(c.ID), "", "", yes(r.ToTell)}
			if d, ok := c.Decision(); ok {
				if row[8], row[9] = v.at(d.At), outcomeWords[d.Outcome]; d.Told != nil {
					row[12], row[13] = d.Told.On, wayWords[d.Told.How]
				}
			}
			return row
		})
	})
}
