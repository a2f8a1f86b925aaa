package bringing

import (
	"encoding/json"
	"slices"
	"strings"

	"rungbook/internal/batch"
	"rungbook/internal/sheets"
	"rungbook/internal/store"
)

// Field is one thing that a row can say.
type Field struct {
	Name, Label string
	Needed      bool     // without a column for it no row can be taken
	heads       []string // folded words that stand over such a column
}

func field(name, label string, needed bool, heads string) Field {
	return Field{name, label, needed, append(strings.Split(heads, ","), store.Fold(label))}
}

// who says of whom a row is, beside the name.
func who(name, label, heads string) []Field {
	return []Field{field(name, label, true, heads),
		field("born", "Birth date", false, "birth date,date of birth,born,birthday,dob,geburtsdatum,geboren,date de naissance,fodselsdato,geboortedatum,fecha de nacimiento"),
		field("number", "Person’s number", false, "number,personal number,employee number,staff number,id number,id,personalnummer,matricule,personeelsnummer,medarbejdernummer")}
}

const (
	fromHeads     = "from,valid from,issued,issue date,completed,completion date,date,ausgestellt,gultig ab,delivre le,datum,afgegeven,udstedt"
	untilHeads    = "until,valid until,valid to,expires,expiry,expiry date,last valid day,last day,gultig bis,ablauf,valable jusqu au,geldig tot,gyldig til,caduca"
	nameHeads     = "name,person,full name,employee,participant,trainee,teilnehmer,mitarbeiter,nom,naam,navn,nombre"
	exerciseHeads = "exercise,module,course,training,ubung,kurs,exercice,oefening,ovelse"
)

var fieldsOf = map[batch.List][]Field{
	batch.People: append(who("name", "Name", nameHeads),
		field("employer", "Employer", false, "employer,company,firm,arbeitgeber,firma,employeur,werkgever,arbejdsgiver,empresa")),
	batch.Certificates: append(who("name", "Name", nameHeads),
		field("what", "What it certifies", true, "certificate,what,type,kind,paper,programme,program,zertifikat,certificat,certificaat,bevis"),
		field("from", "Completed on", true, fromHeads), field("until", "Last valid day", true, untilHeads),
		field("serial", "Centre’s certificate number", false, "certificate number,certificate no,zertifikatsnummer,numero de certificat")),
	batch.Qualifications: append(who("name", "Name", nameHeads),
		field("what", "Exercise or qualification", true, "qualification,teaches,may teach,qualifikation,"+exerciseHeads),
		field("from", "First day", true, fromHeads), field("until", "Last valid day", true, untilHeads)),
	batch.Inspections: {
		field("subject", "Rig, station or kit", true, "subject,rig,station,kit,equipment,item,anlage,gerat,objet,object,udstyr"),
		field("line", "Inspection", true, "inspection,check,what,prufung,controle,keuring,eftersyn"),
		field("done", "Day done", true, "date,done,day,inspected,datum,gepruft am,date de controle,dato"),
		field("passed", "Passed", true, "passed,result,ok,ergebnis,bestanden,resultat,uitslag"),
		field("note", "Note", false, "note,remark,remarks,comment,bemerkung,remarque,opmerking,bemaerkning")},
	batch.Intakes: append([]Field{
		field("intake", "Intake", true, "intake,group,cohort,class,gruppe,groupe,groep,hold"),
		field("employer", "Employer", true, "employer,company,firm,arbeitgeber,firma,employeur,werkgever"),
		field("programme", "Programme", true, "programme,program,course,programm,lehrgang"),
		field("from", "First day", true, "from,start,first day,begin,beginn,debut,van,fra"),
		field("until", "Last day", true, "until,to,end,last day,ende,fin,tot,til")}, who("name", "Trainee", nameHeads)...),
	batch.Sessions: append([]Field{
		field("exercise", "Exercise", true, exerciseHeads),
		field("station", "Station", true, "station,place,rig,location,ort,lieu,plaats,sted"),
		field("day", "Day", true, "day,date,datum,dato,tag,jour"),
		field("start", "Start", true, "start,from,time,begin,beginn,von,debut,van,fra"),
		field("end", "End", false, "end,to,until,ende,bis,fin,tot,til"),
		field("hours", "Hours, where no end is given", false, "hours,duration,stunden,dauer,heures,uren,timer"),
		field("instructor", "Instructor", true, "instructor,trainer,teacher,ausbilder,formateur,instruktor"),
		field("present", "Present", true, "present,attended,attendance,anwesend,aanwezig,til stede"),
		field("result", "Result", false, "result,outcome,competent,ergebnis,resultat,uitslag")}, who("name", "Trainee", nameHeads)...),
}

// Fields returns the fields of a list in the order forms show them.
func Fields(l batch.List) []Field { return fieldsOf[l] }

// guess fills what the mapping leaves open.
func guess(l batch.List, t *sheets.Table, m, last Mapping) Mapping {
	if m.Sheet == "" {
		m.Sheet = t.Sheet
	}
	m.Encoding, m.Separator = t.Encoding, t.Separator
	if m.Columns != nil || len(t.Rows) == 0 {
		return m.withHeads(t)
	}
	m.Columns = map[string]string{}
	used := map[int]bool{}
	take := func(f Field, same func(head string) bool) {
		for c, cell := range t.Rows[0].Cells {
			if m.Columns[f.Name] == "" && !used[c] && !t.Hidden[c] && cell.Is != sheets.Empty && same(headOf(cell.Text)) {
				m.Columns[f.Name], used[c] = sheets.Column(c), true
			}
		}
	}
	for _, f := range fieldsOf[l] {
		if head := last.Heads[f.Name]; head != "" {
			take(f, func(h string) bool { return h == headOf(head) })
		}
	}
	for _, f := range fieldsOf[l] {
		take(f, func(h string) bool { return slices.Contains(f.heads, h) })
	}
	if m.Habits == (sheets.Habits{}) {
		m.Habits = last.Habits
	}
	if m.Rest == nil {
		m.Rest = last.Rest
	}
	return m.withHeads(t)
}

func headOf(s string) string {
	return strings.Join(strings.FieldsFunc(store.Fold(s), func(r rune) bool { return strings.ContainsRune(" .:_-/()’'", r) }), " ")
}

// withHeads notes the heads of the chosen columns.
func (m Mapping) withHeads(t *sheets.Table) Mapping {
	m.Heads = map[string]string{}
	for name, letters := range m.Columns {
		if c, ok := columnOf(letters); ok && len(t.Rows) > 0 {
			m.Heads[name] = t.Rows[0].Cell(c).Text
		}
	}
	return m
}

// columnOf reads a column's letters; ok is false for none.
func columnOf(letters string) (int, bool) {
	for c := range sheets.MaxColumns {
		if sheets.Column(c) == letters {
			return c, true
		}
	}
	return 0, false
}

// lastMapping returns how the last file of a list was read.
func lastMapping(v *store.View, l batch.List) (m Mapping, err error) {
	list, err := v.Batches("")
	if err != nil {
		return m, err
	}
	for _, b := range list {
		if b.List != l {
			continue
		}
		texts, err := v.Texts(b.Mapping)
		if err != nil {
			return m, err
		}
		if json.Unmarshal([]byte(texts[b.Mapping]), &m) == nil {
			return m, nil
		}
	}
	return Mapping{}, nil
}
