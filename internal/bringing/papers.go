package bringing

import (
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/batch"
	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// paperRow is a paper that a row says somebody holds.
type paperRow struct {
	who  *someone
	cert credential.Certificate
}

// paper judges a row of certificates or qualifications by itself; papers compares
// them with each other.
func (l *line) paper() {
	who := l.find("name")
	cert, ok := l.kindOfPaper(l.text("what"))
	cert.From, cert.Until = l.past("from"), l.day("until")
	if l.refused() || who == nil || !ok {
		return
	}
	cert.Person, cert.Completed, cert.State = who.id, cert.From, credential.Valid
	if cert.Until < cert.From {
		l.refuse("until", "The last valid day, %s, lies before %s.", cert.Until, cert.From)
	}
	born := who.born
	if born == 0 {
		born = l.day("born")
	}
	if born != 0 && cert.From <= born {
		l.refuse("from", "%s lies before %s was born (%s).", cert.From, who.name, born)
	}
	if cert.Until < l.today {
		l.caution("until", "It ended on %s; it is kept as past and clears nobody.", cert.Until)
	}
	if cert.Kind == credential.ToTeach {
		if _, staff := l.ref.Staff.On(who.id, l.today); !staff {
			l.caution("name", "%s is not on the staff; the qualification counts once they are.", who.name)
		}
	}
	if text := l.text("serial"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 || n > 1_000_000_000 {
			l.refuse("serial", "%q is not a certificate number; the centre’s are whole numbers.", text)
		}
		cert.Number = n
	}
	l.judged.Says = l.paperName(cert) + " of " + who.name + ", last valid " + cert.Until.String()
	l.paperOf = &paperRow{who, cert}
}

// kindOfPaper finds out what a paper is by its name.
func (l *line) kindOfPaper(name string) (credential.Certificate, bool) {
	if c, ok := l.named.papers[name]; ok {
		return c, true
	}
	c, ok := l.paperNamed(name)
	if ok {
		if l.named.papers == nil {
			l.named.papers = map[string]credential.Certificate{}
		}
		l.named.papers[name] = c
	}
	return c, ok
}

func (l *line) paperNamed(name string) (credential.Certificate, bool) {
	plain := plainName(name)
	if l.file.List == batch.Qualifications {
		if e, ok := l.exercise("what", name, true); ok {
			return credential.Certificate{Kind: credential.ToTeach, Exercise: e.ID, Validity: "validity.teaches"}, true
		}
	} else {
		for _, p := range l.ref.Programmes.All(l.today) {
			if plainName(l.ref.Text(p.Name)) == plain {
				c := credential.Certificate{Kind: credential.ForProgramme, Programme: p.ID, Validity: p.Validity}
				for _, holds := range l.holds() { // what exercises require by the same name
					if plainName(holds) == plain {
						c.Holds = holds
					}
				}
				return c, true
			}
		}
	}
	switch plain {
	case "rescue", "rescue competence":
		return credential.Certificate{Kind: credential.ToRescue, Validity: "validity.rescue"}, true
	case "first aid":
		return credential.Certificate{Kind: credential.FirstAid, Holds: string(credential.FirstAid)}, true
	}
	for _, holds := range l.holds() {
		if plainName(holds) == plain {
			kind := credential.TakenOver
			if strings.HasPrefix(holds, "medical") {
				kind = credential.Medical
			}
			return credential.Certificate{Kind: kind, Holds: holds}, true
		}
	}
	if name != "" {
		l.refuse("what", "%q is not known here.%s", name, l.nearest(plain, l.paperNames()))
	}
	return credential.Certificate{}, false
}

// holds lists what exercises require trainees to hold.
func (b *bench) holds() []string {
	if b.held == nil {
		for _, e := range b.ref.Exercises.All(b.today) {
			b.held = append(b.held, e.Requires...)
		}
		slices.Sort(b.held)
		b.held = slices.Compact(b.held)
	}
	return b.held
}

func (b *bench) paperNames() []string {
	out := append([]string{"rescue competence", "first aid"}, b.holds()...)
	if b.file.List == batch.Qualifications {
		for _, e := range b.ref.Exercises.All(b.today) {
			out = append(out, b.ref.Text(e.Name))
		}
		return out
	}
	for _, p := range b.ref.Programmes.All(b.today) {
		out = append(out, b.ref.Text(p.Name))
	}
	return out
}

// plainName is a name without marks and hyphens.
func plainName(s string) string { return headOf(s) }

// nearest offers the name that is most alike, for a sentence.
func (b *bench) nearest(plain string, names []string) string {
	best, most := "", float32(0.75)
	for _, n := range names {
		if like := likeness(plainName(n), plain); like > most {
			best, most = n, like
		}
	}
	if best == "" {
		return ""
	}
	return " The nearest is " + best + "."
}

func (b *bench) paperName(c credential.Certificate) string {
	switch c.Kind {
	case credential.ForProgramme:
		p, _ := b.ref.Programmes.On(c.Programme, b.today)
		return b.ref.Text(p.Name)
	case credential.ToTeach:
		e, _ := b.ref.Exercises.On(c.Exercise, b.today)
		return "Teaching " + b.ref.Text(e.Name)
	case credential.ToRescue:
		return "Rescue competence"
	case credential.FirstAid:
		return "First aid"
	}
	return c.Holds
}

// samePaper is what makes two papers one: whose, what, and from which day.
type samePaper struct {
	who       id.Person
	kind      credential.Kind
	programme id.Programme
	exercise  id.Exercise
	holds     string
	from      civil.Day
}

func sameOf(c credential.Certificate) samePaper {
	return samePaper{c.Person, c.Kind, c.Programme, c.Exercise, c.Holds, c.From}
}

// papers compares the rows with each other and with the records: one paper has
// one last valid day.
func (b *bench) papers() error {
	var whose []id.Person
	for _, l := range b.lines {
		if l.paperOf != nil {
			whose = append(whose, l.paperOf.who.id)
		}
	}
	slices.Sort(whose)
	held, err := b.v.CertificatesOf(slices.Compact(whose)...)
	if err != nil {
		return err
	}
	there := map[samePaper]credential.Certificate{}
	for _, c := range held {
		if c.State != credential.Void {
			there[sameOf(c)] = c
		}
	}
	rows, numbers := map[samePaper]*line{}, map[int]*line{}
	for _, l := range b.lines {
		if l.paperOf == nil {
			continue
		}
		c := l.paperOf.cert
		l.compare(c, there, rows)
		if n := c.Number; n != 0 {
			if other := numbers[n]; other != nil {
				l.refuse("serial", "Row %d has the certificate number %d already.", other.row.Number, n)
			} else if _, err := b.v.CertificateByNumber(n); err == nil {
				l.refuse("serial", "Certificate number %d is on record already.", n)
			} else if fault.Of(err) != fault.NotFound {
				return err
			}
			numbers[n] = l
		}
		row, who := l.row.Number, l.paperOf.who
		l.adds("certificate", itoa(row))
		l.judged.do = func(w *writer) error {
			c.ID, c.Person = id.Certificate(w.tx.ID()), who.id
			return w.put(row, 0, c)
		}
	}
	return nil
}

func (l *line) compare(c credential.Certificate, there map[samePaper]credential.Certificate, rows map[samePaper]*line) {
	key := sameOf(c)
	if was, ok := there[key]; ok && was.Until == c.Until {
		l.refuse("what", "It is on record already, last valid %s.", was.Until)
	} else if ok {
		l.refuse("until", "Two last valid days: the records say %s, this row %s.", dayOrNone(was.Until), c.Until)
	}
	other := rows[key]
	switch {
	case other == nil:
		rows[key] = l
	case other.paperOf.cert.Until == c.Until:
		l.refuse("what", "Row %d says the same.", other.row.Number)
	default:
		l.refuse("until", "Two last valid days: row %d says %s, this row %s.", other.row.Number, other.paperOf.cert.Until, c.Until)
		other.refuse("until", "Two last valid days: row %d says %s, this row %s.", l.row.Number, c.Until, other.paperOf.cert.Until)
	}
}

func dayOrNone(d civil.Day) string {
	if d == 0 {
		return "none"
	}
	return d.String()
}
