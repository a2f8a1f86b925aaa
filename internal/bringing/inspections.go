package bringing

import (
	"slices"

	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/rig"
	"rungbook/internal/sheets"
)

// subject is what is inspected, with the inspections it asks for.
type subject struct {
	id    string
	name  string
	lines []string
}

// subjects lists rigs, stations and kits.
func (b *bench) subjects() (out []subject) {
	for _, r := range b.ref.Rigs.All(b.today) {
		out = append(out, subject{string(r.ID), b.ref.Text(r.Name), planning.Required(b.ref, string(r.ID), b.today)})
	}
	for _, s := range b.ref.Stations.All(b.today) {
		if s.Retired == 0 || s.Retired > b.today {
			out = append(out, subject{string(s.ID), b.ref.Text(s.Name), s.Inspections})
		}
	}
	for _, k := range b.ref.Kits.All(b.today) {
		out = append(out, subject{string(k.ID), b.ref.Text(k.Name), k.Inspections})
	}
	return out
}

// inspections gathers, once for a file, what can be inspected and what was.
func (b *bench) inspections() {
	if b.inspected != nil {
		return
	}
	b.inspected, b.named.subjects = map[rig.Inspection]int{}, map[string][]subject{}
	for _, s := range b.subjects() {
		key := plainName(s.name)
		b.named.subjects[key] = append(b.named.subjects[key], s)
	}
	for _, x := range b.ref.Inspections.All(b.today) {
		b.inspected[rig.Inspection{Subject: x.Subject, Line: x.Line, Done: x.Done}] = 0
	}
}

// inspection judges one inspection done.
func (l *line) inspection() {
	l.inspections()
	name, line := l.text("subject"), l.text("line")
	done := l.past("done")
	passed, err := sheets.Yes(l.cell("passed"))
	if err != nil {
		l.refuse("passed", "Passed: %s.", err)
	}
	found := l.named.subjects[plainName(name)]
	for range max(0, len(found)-1) {
		l.refuse("subject", "More than one thing is called %s.", name)
	}
	if len(found) == 0 && name != "" {
		names := namesOf(l.subjects(), func(s subject) string { return s.name })
		l.refuse("subject", "There is no rig, station or kit %q.%s", name, l.nearest(plainName(name), names))
	}
	if l.refused() || len(found) == 0 {
		return
	}
	of := found[0]
	asked := l.lineOf(of, line)
	if asked == "" {
		return
	}
	key := rig.Inspection{Subject: of.id, Line: asked, Done: done}
	switch row, there := l.inspected[key]; {
	case there && row == 0:
		l.refuse("done", "An inspection of that day is on record already.")
	case there:
		l.refuse("done", "Row %d says the same of that day.", row)
		l.inspected[key] = l.row.Number
	default:
		l.inspected[key] = l.row.Number
	}
	if !passed {
		l.caution("passed", "It failed: what depends on %s is stopped by it unless a later one passed.", of.name)
	}
	l.writeInspection(rig.Inspection{Subject: of.id, Line: asked, Done: done, Passed: passed}, of.name)
}

// lineOf finds which of the inspections that are asked for is meant.
func (l *line) lineOf(of subject, name string) string {
	book := l.ref.RuleBooks.All(l.today)
	var names []string
	for _, id := range of.lines {
		label := id
		for _, b := range book {
			for _, line := range b.Lines {
				if line.ID == id {
					label = line.Subject()
				}
			}
		}
		if plainName(label) == plainName(name) || plainName(id) == plainName(name) {
			return id
		}
		names = append(names, label)
	}
	if slices.Sort(names); len(names) == 0 {
		l.refuse("line", "%s asks for no inspection.", of.name)
	} else {
		l.refuse("line", "%s asks for no inspection %q.%s", of.name, name, l.nearest(plainName(name), names))
	}
	return ""
}

func (l *line) writeInspection(x rig.Inspection, name string) {
	row, note, by := l.row.Number, l.text("note"), "failed"
	if x.Passed {
		by = "passed"
	}
	l.judged.Says = "inspection of " + name + " on " + x.Done.String() + ", " + by
	l.adds("inspection", itoa(row))
	l.judged.do = func(w *writer) error {
		x.ID, x.By = id.Inspection(w.tx.ID()), w.by
		x.Note = w.tx.Seal("inspection/"+string(x.ID), "note", note)
		return w.put(row, x.Done, x)
	}
}
