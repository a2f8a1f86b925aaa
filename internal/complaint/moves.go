package complaint

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// Check refuses a complaint that can't be received so. today is the day of the act.
// Error: fault.Fields.
func (c Complaint) Check(today civil.Day) error {
	bad := fault.Fields{}
	if !slices.Contains(Kinds(), c.Kind) {
		bad.Add("kind", "Say whether it is a complaint or an appeal.")
	}
	if c.Way != ByForm && !slices.Contains(WrittenDown(), c.Way) {
		bad.Add("way", "Say how it came.")
	}
	switch {
	case c.Received == 0:
		bad.Add("received", "Give the day on which it came.")
	case c.Received > today:
		bad.Add("received", "%s is still to come.", c.Received)
	}
	if c.Text == "" {
		bad.Add("text", "Write what it is about.")
	}
	if c.Way == ByForm && c.Filer == "" {
		bad.Add("from", "Whoever files it here is not on record as a person.")
	}
	if c.Filer != "" && c.From != "" {
		bad.Add("from", "Choose who filed it, or write who did: not both.")
	}
	if m := c.Against; m.Certificate != "" && (m.Session != "" || m.Trainee != "") {
		bad.Add("against", "Choose one thing that it is against.")
	}
	return bad.Err()
}

// AnsweredWith returns it with one more answer.
func (c Complaint) AnsweredWith(a Answer, record []Tie) (Complaint, error) {
	if err := c.MayAct(a.By, record); err != nil {
		return c, err
	}
	if err := c.open(); err != nil {
		return c, err
	}
	if a.Text == "" {
		return c, fault.Field("answer", "Write what was answered.")
	}
	c.Answers = append(slices.Clone(c.Answers), a)
	return c, nil
}

// WithInvolved returns it with one more word for who had a part in it. nobody says
// that there is nobody but whom the record names. What was said is only added to.
func (c Complaint) WithInvolved(i Involved, nobody bool, record []Tie) (Complaint, error) {
	if err := c.MayAct(i.By, record); err != nil {
		return c, err
	}
	if err := c.open(); err != nil {
		return c, err
	}
	i.People = slices.Compact(slices.Sorted(slices.Values(i.People)))
	i.People = slices.DeleteFunc(i.People, func(p id.Person) bool { return p == "" || c.named(p) })
	switch {
	case nobody && len(i.People) > 0:
		return c, fault.Field("nobody", "People are chosen above. Choose them, or say that nobody else is involved: not both.")
	case !nobody && len(i.People) == 0:
		return c, fault.Field("involved", "Choose who is involved, or say that nobody else of the centre is.")
	}
	c.Involved = append(slices.Clone(c.Involved), i)
	return c, nil
}

// DecidedWith returns it as decided: the rule of who may decide is MayDecide. What
// nobody has said is missing and stops: who is involved.
func (c Complaint) DecidedWith(d Decision, record []Tie) (Complaint, error) {
	if err := c.MayDecide(d.By, record); err != nil {
		return c, err
	}
	if err := c.open(); err != nil {
		return c, err
	}
	bad := fault.Fields{}
	if !c.Stated() {
		bad.Add("", "Nobody has said who of the centre is involved, so it is not known who may decide. Say that first; that nobody is involved is said too.")
	}
	if !slices.Contains(Outcomes(), d.Outcome) {
		bad.Add("outcome", "Say what is decided.")
	}
	if d.Reason == "" {
		bad.Add("reason", "Write why it is decided so.")
	}
	if d.Outcome.Upholds() && d.Done == "" {
		bad.Add("done", "Write what is done about it.")
	}
	if err := bad.Err(); err != nil {
		return c, err
	}
	c.Decisions = append(slices.Clone(c.Decisions), d)
	return c, nil
}

// ToldTo returns it with the word that whoever filed it was told what was decided; z
// is the yard's zone.
func (c Complaint) ToldTo(t Telling, z civil.Zone, record []Tie) (Complaint, error) {
	if err := c.MayAct(t.By, record); err != nil {
		return c, err
	}
	d, ok := c.Decision()
	switch {
	case !ok:
		return c, fault.New(fault.Conflict, "It waits for a decision: there is nothing to tell of.")
	case c.Unnamed():
		return c, fault.New(fault.Conflict, "Nobody is known to have filed it, so nobody can be told.")
	case d.Told != nil:
		return c, fault.New(fault.Conflict, "They have been told of it.")
	}
	bad := fault.Fields{}
	if !slices.Contains(WrittenDown(), t.How) {
		bad.Add("how", "Say how they were told.")
	}
	if decided, today := z.DayOf(d.At), z.DayOf(t.At); t.On < decided || t.On > today {
		bad.Add("on", "Give a day from %s, when it was decided, to %s.", decided, today)
	}
	if err := bad.Err(); err != nil {
		return c, err
	}
	c.Decisions = slices.Clone(c.Decisions)
	c.Decisions[len(c.Decisions)-1].Told = &t
	return c, nil
}

// OpenedAgain returns it waiting for a decision again, for information that came
// later. What was decided stays on record.
func (c Complaint) OpenedAgain(r Reopening, record []Tie) (Complaint, error) {
	if err := c.MayAct(r.By, record); err != nil {
		return c, err
	}
	if c.Open() {
		return c, fault.New(fault.Conflict, "It is open: nothing has been decided since.")
	}
	if r.Reason == "" {
		return c, fault.Field("reason", "Write what has come to light since.")
	}
	c.Reopened = append(slices.Clone(c.Reopened), r)
	return c, nil
}

// open refuses what has been decided.
func (c Complaint) open() error {
	if !c.Open() {
		return fault.New(fault.Conflict, "It has been decided. Open it again first, with the reason.")
	}
	return nil
}
