package bringing

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"rungbook/internal/batch"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/sheets"
	"rungbook/internal/store"
)

// Verdict on a row.
type Verdict string

// The verdicts.
const (
	Taken       Verdict = "taken"
	WithCaution Verdict = "caution"
	Refused     Verdict = "refused"
)

// Remark is what was found in a cell.
type Remark struct {
	Cell    string // its address
	Refuses bool   // the row is left out; else it is taken with caution
	Text    string // one sentence
}

// Judged is a row with its verdict.
type Judged struct {
	Row     int
	Verdict Verdict
	Says    string // what it would become
	Remarks []Remark
	do      func(*writer) error // writes it
	adds    []added
}

// added is a record that a row would make; rows that make the same one share it.
type added struct{ kind, key string }

// Judgement is what a file would become.
type Judgement struct {
	File    File
	Mapping Mapping
	Rows    []Judged
	Before  []batch.Batch         // batches of the same file that stand
	Changes []Count               // records that would be made, by kind
	last    []func(*writer) error // what many rows make together
}

// Count returns how many rows got a verdict.
func (j *Judgement) Count(v Verdict) (n int) {
	for _, r := range j.Rows {
		if r.Verdict == v {
			n++
		}
	}
	return n
}

// Takes returns how many rows are taken, with or without caution.
func (j *Judgement) Takes() int { return j.Count(Taken) + j.Count(WithCaution) }

// facts is how many facts it would put.
func (j *Judgement) facts() (n int) {
	for _, c := range j.Changes {
		n += c.Count
	}
	return n
}

// toLookAt returns the judgement without what would write it: that holds every row
// as it was read.
func (j *Judgement) toLookAt() *Judgement {
	for i := range j.Rows {
		j.Rows[i].do, j.Rows[i].adds = nil, nil
	}
	j.last = nil
	return j
}

// bench is a file being judged.
type bench struct {
	v       *store.View
	ref     *store.Reference
	today   civil.Day
	file    File
	mapping Mapping
	table   *sheets.Table
	columns map[string]int
	lines   []*line
	reg     *register
	fields  map[string]string // labels
	held    []string          // what exercises require, once asked for
	shared  shared
	named   named

	inspected map[rig.Inspection]int // row that says it, 0 = on record; by subject, line and day
	teachers  map[string][]id.Person // staff by the key of their name
}

// shared is what rows write together, after those that write by themselves.
type shared = []func(*writer) error

// line is one row being judged.
type line struct {
	*bench
	row    sheets.Row
	judged Judged

	paperOf   *paperRow   // of certificates and qualifications
	traineeOf *traineeRow // of intakes
	presentOf *presentRow // of sessions
	session   sameSession // of sessions, as far as the row was read
}

// tellEvery is after how many rows progress is told.
const tellEvery = 500

func judge(ctx context.Context, v *store.View, f File, m Mapping, t *sheets.Table, tell func(done, all int)) (*Judgement, error) {
	b, err := newBench(v, f, m, t)
	if err != nil {
		return nil, err
	}
	if tell == nil {
		tell = func(int, int) {}
	}
	step := map[batch.List]func(*line){
		batch.People: (*line).person, batch.Certificates: (*line).paper, batch.Qualifications: (*line).paper,
		batch.Inspections: (*line).inspection, batch.Intakes: (*line).trainee, batch.Sessions: (*line).presence,
	}[f.List]
	for i, l := range b.lines {
		if i%tellEvery == 0 {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			tell(i, len(b.lines))
		}
		l.look()
		if !l.refused() {
			step(l)
		}
	}
	whole := map[batch.List]func(*bench) error{
		batch.Certificates: (*bench).papers, batch.Qualifications: (*bench).papers,
		batch.Intakes: (*bench).intakes, batch.Sessions: (*bench).sessions,
	}[f.List]
	if whole != nil {
		if err := whole(b); err != nil {
			return nil, err
		}
	}
	tell(len(b.lines), len(b.lines))
	return b.judgement()
}

// newBench checks the mapping: which column is which must be said once for all.
func newBench(v *store.View, f File, m Mapping, t *sheets.Table) (*bench, error) {
	ref, err := v.Reference()
	if err != nil {
		return nil, err
	}
	b := &bench{v: v, ref: ref, today: v.Today(), file: f, mapping: m, table: t, columns: map[string]int{}, fields: map[string]string{},
		teachers: map[string][]id.Person{}}
	for _, p := range ref.Staff.Keys() {
		key := keyOf(ref.StaffName(p))
		b.teachers[key] = append(b.teachers[key], p)
	}
	bad := fault.Fields{}
	taken := map[int]string{}
	for _, field := range fieldsOf[f.List] {
		b.fields[field.Name] = field.Label
		letters := m.Columns[field.Name]
		c, ok := columnOf(letters)
		switch {
		case letters == "" && field.Needed:
			bad.Add(field.Name, "No column is chosen for %s. Without it no row can be taken.", field.Label)
		case letters == "":
		case !ok:
			bad.Add(field.Name, "%q is not a column of the list.", letters)
		case t.Hidden[c]:
			bad.Add(field.Name, "Column %s is hidden. Show it in the workbook, look at it, and send the file again.", letters)
		case taken[c] != "":
			bad.Add(field.Name, "Column %s is chosen for %s already.", letters, taken[c])
		default:
			b.columns[field.Name], taken[c] = c, field.Label
		}
	}
	if len(t.Rows) < 2 {
		bad.Add("", "The list has no row below its heads.")
	}
	if err := bad.Err(); err != nil {
		return nil, err
	}
	for _, row := range t.Rows[1:] {
		b.lines = append(b.lines, &line{bench: b, row: row, judged: Judged{Row: row.Number}})
	}
	b.reg, err = newRegister(v)
	return b, err
}

func (b *bench) judgement() (*Judgement, error) {
	j := &Judgement{File: b.file, Mapping: b.mapping.withHeads(b.table), last: b.shared}
	for _, l := range b.lines {
		l.judged.Verdict = Taken
		for _, r := range l.judged.Remarks {
			if r.Refuses {
				l.judged.Verdict = Refused
			} else if l.judged.Verdict == Taken {
				l.judged.Verdict = WithCaution
			}
		}
		if l.judged.Says == "" {
			l.judged.Says = l.reads()
		}
		j.Rows = append(j.Rows, l.judged)
	}
	j.Changes = changes(j.Rows)
	before, err := b.v.Batches(b.file.Hash())
	j.Before = slices.DeleteFunc(before, func(x batch.Batch) bool { return x.Back })
	return j, err
}

// changes counts the records that rows which are taken would make.
func changes(rows []Judged) []Count {
	var made []added
	seen := map[added]bool{}
	for _, r := range rows {
		for _, a := range r.adds {
			if r.Verdict != Refused && !seen[a] {
				made, seen[a] = append(made, a), true
			}
		}
	}
	return counted(made, func(a added) string { return a.kind })
}

func (l *line) adds(kind, key string) { l.judged.adds = append(l.judged.adds, added{kind, key}) }

// reads is what stands in the row's chosen cells, for a row that becomes nothing.
func (l *line) reads() string {
	var out []string
	for _, f := range fieldsOf[l.file.List] {
		if text := l.cell(f.Name).Text; text != "" {
			out = append(out, text)
		}
	}
	return "reads: " + strings.Join(out, " · ")
}

func (l *line) refused() bool {
	return slices.ContainsFunc(l.judged.Remarks, func(r Remark) bool { return r.Refuses })
}

func (l *line) remark(field string, refuses bool, format string, args ...any) {
	c, ok := l.columns[field]
	if !ok {
		c = 0
	}
	l.judged.Remarks = append(l.judged.Remarks, Remark{sheets.Address(c, l.row.Number), refuses, fmt.Sprintf(format, args...)})
}

func (l *line) refuse(field, format string, args ...any)  { l.remark(field, true, format, args...) }
func (l *line) caution(field, format string, args ...any) { l.remark(field, false, format, args...) }

// look refuses what a person can't have seen, or what was not typed.
func (l *line) look() {
	if l.row.Hidden {
		l.refuse("", "The row is hidden. Show it and look at it, or delete it.")
		return
	}
	for _, f := range fieldsOf[l.file.List] {
		c, ok := l.columns[f.Name]
		if !ok {
			continue
		}
		switch cell := l.row.Cell(c); cell.Is {
		case sheets.Formula:
			l.refuse(f.Name, "%s is a formula. Paste its value, and look at it.", f.Label)
		case sheets.Error:
			l.refuse(f.Name, "%s shows the error %s.", f.Label, cell.Text)
		case sheets.Merged:
			l.refuse(f.Name, "%s is part of merged cells. Unmerge them and fill in each row.", f.Label)
		case sheets.Empty:
			if f.Needed {
				l.refuse(f.Name, "%s is missing.", f.Label)
			}
		}
	}
}

// text returns a cell's text, "" for none.
func (l *line) text(field string) string {
	c, ok := l.columns[field]
	if !ok {
		return ""
	}
	cell := l.row.Cell(c)
	if cell.Is == sheets.Date || cell.Is == sheets.Truth {
		l.refuse(field, "%s is not written as text.", l.fields[field])
		return ""
	}
	return cell.Text
}

func (l *line) cell(field string) sheets.Cell {
	if c, ok := l.columns[field]; ok {
		return l.row.Cell(c)
	}
	return sheets.Cell{}
}

// firstDay and lastDay bound what a list can be about.
var firstDay, lastDay = civil.DayOf(1920, time.January, 1), civil.DayOf(2199, time.December, 31)

// day reads a day of a field; 0 for an empty cell. Years of two digits are of
// this century where the day is not a birth.
func (l *line) day(field string) civil.Day {
	cell := l.cell(field)
	if cell.Is == sheets.Empty {
		return 0
	}
	year, _, _ := l.today.Date()
	if field != "born" {
		year += 50
	}
	d, err := l.mapping.Habits.Day(cell, l.table.Since1904, year)
	switch {
	case err != nil:
		l.refuse(field, "%s: %s.", l.fields[field], err)
		return 0
	case d < firstDay || d > lastDay:
		l.refuse(field, "%s: %s is too far away to be meant.", l.fields[field], d)
		return 0
	}
	return d
}

// past reads a day that is today or past.
func (l *line) past(field string) civil.Day {
	d := l.day(field)
	if d > l.today {
		l.refuse(field, "%s: %s is still to come.", l.fields[field], d)
	}
	return d
}

func (l *line) checked(field string, err error) {
	if err == nil {
		return
	}
	if list := fault.Message(err); list != "" {
		l.refuse(field, "%s", list)
		return
	}
	l.refuse(field, "%v", err)
}
