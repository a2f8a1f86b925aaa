package bringing_test

import (
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"rungbook/internal/batch"
	"rungbook/internal/bringing"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// dirty is a workbook as offices keep them: days as counts, formulas, merged and
// hidden cells, a note sheet in front.
func dirty(t *testing.T) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	do := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	index, err := f.NewSheet("Crew")
	do(err)
	f.SetActiveSheet(index)
	style, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	do(err)
	for i, row := range [][]any{
		{"Name", "Date of birth", "Number", "Company"},
		{"Ottilie Vandersteen", 33299, 501, "Larkmoor Rotors"},       // 2: a count shown as a day
		{"Casimir Holloway", 33300, 502, "Larkmoor Rotors"},          // 3: a bare count
		{"Perpetua Lindqvist", nil, 503, "Larkmoor Rotors"},          // 4: a formula
		{"Zebedee Thornquist", "1994-06-30", 504, "Larkmoor Rotors"}, // 5: hidden
		{"Rosalind Umber", "1996-02-29", 505, "Larkmoor Rotors"},     // 6: company merged over two rows
		{"Ismene Calloway", "1997-02-29", 506, "Larkmoor Rotors"},    // 7: merged, and no such day
		{"Benedikt Aurelio", "30 June 1985", 507, "Larkmoor Rotors"}, // 8
	} {
		for c, value := range row {
			cell, err := excelize.CoordinatesToCellName(c+1, i+1)
			do(err)
			do(f.SetCellValue("Crew", cell, value))
		}
	}
	do(f.SetCellStyle("Crew", "B2", "B2", style))
	do(f.SetCellFormula("Crew", "B4", "B2+1"))
	do(f.SetRowVisible("Crew", 5, false))
	do(f.MergeCell("Crew", "D6", "D7"))
	b, err := f.WriteToBuffer()
	do(err)
	return b.Bytes()
}

func TestADirtyWorkbookIsJudgedCellByCell(t *testing.T) {
	d := open(t)
	f := bringing.File{List: batch.People, Name: "crew.xlsx", Data: dirty(t)}
	table, m, err := d.Guess(ctx, d.actor, f, bringing.Mapping{Sheet: "Crew"})
	if err != nil {
		t.Fatal(err)
	}
	if len(table.Sheets) != 2 || m.Columns["born"] != "B" || m.Columns["employer"] != "D" {
		t.Fatalf("got sheets %v, columns %v", table.Sheets, m.Columns)
	}
	j, err := d.Judge(ctx, d.actor, f, m, nil, nil)
	if err != nil {
		t.Fatal(err)
	}
	want := map[int][]string{
		2: {"taken"}, 3: {"refused", "B3"}, 4: {"refused", "B4"}, 5: {"refused", "A5"}, 6: {"refused", "D6"}, 7: {"refused", "D7"}, 8: {"taken"},
	}
	for _, r := range j.Rows {
		got := []string{string(r.Verdict)}
		for _, x := range r.Remarks {
			got = append(got, x.Cell)
		}
		if strings.Join(got, " ") != strings.Join(want[r.Row], " ") {
			t.Errorf("row %d: got %v %+v, want %v", r.Row, got, r.Remarks, want[r.Row])
		}
	}
	m.Habits.Serial = bringing.Since1900
	if j, err = d.Judge(ctx, d.actor, f, m, nil, nil); err != nil || j.Takes() != 3 {
		t.Errorf("with counts from 1900: got %s, %v", lines(j), err)
	}
	if made := d.bring(j); made == "" {
		t.Error("no batch was made")
	}
}

func TestAColumnThatIsHiddenOrChosenTwiceIsRefused(t *testing.T) {
	d := open(t)
	f := bringing.File{List: batch.People, Name: "a.csv", Data: []byte("Name,Born\nAda Quillon,1990-01-01\n")}
	for name, columns := range map[string]map[string]string{
		"none":           {},
		"twice":          {"name": "A", "born": "A"},
		"no such column": {"name": "A1"},
	} {
		if _, err := d.Judge(ctx, d.actor, f, bringing.Mapping{Columns: columns}, nil, nil); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: got %v, want it refused", name, err)
		}
	}
}

// FuzzJudge judges any text as any list: every row gets a verdict, and what is
// refused says why, with its cell.
func FuzzJudge(f *testing.F) {
	f.Add("people", "Name,Born\nAda Quillon,1990-01-01\nAda Quilon,2/3/90\n")
	f.Add("certificates", "Name;What;From;Until\nCormac Devanny;first aid;2026-01-01;2027-12-31\n")
	f.Add("qualifications", "Name;What;From;Until\nCormac Devanny;rescue;1.1.26;31.12.27\n")
	f.Add("inspections", "Rig,Check,Date,Passed\nTower platform,structure,2027-04-01,x\n")
	f.Add("intakes", "Intake,Employer,Programme,From,Until,Name,Born\nA,B,Work at height,2027-05-03,2027-05-28,Ada Quillon,1990-01-01\n")
	f.Add("sessions", "Exercise,Station,Date,Start,End,Instructor,Trainee,Present\nHeight theory,Room 2,2027-04-03,8:00,9:00,Cormac Devanny,Ada Quillon,yes\n")
	d := open(f)
	f.Fuzz(func(t *testing.T, list, text string) {
		d := &desk{TB: t, Desk: d.Desk, store: d.store, actor: d.actor, keys: d.keys}
		file := bringing.File{List: batch.List(list), Name: "fuzz.csv", Data: []byte(text)}
		_, m, err := d.Guess(ctx, d.actor, file, bringing.Mapping{Rest: []id.Profile{"eu-adult"}})
		if err != nil {
			return
		}
		j, err := d.Judge(ctx, d.actor, file, m, nil, nil)
		if err != nil {
			if fault.Of(err) != fault.Invalid {
				t.Fatal(err)
			}
			return
		}
		for _, r := range j.Rows {
			if r.Verdict == "" || (r.Verdict == bringing.Refused) != (len(r.Remarks) > 0 && refuses(r.Remarks)) {
				t.Fatalf("row %d: %+v", r.Row, r)
			}
		}
	})
}

func refuses(list []bringing.Remark) bool {
	for _, r := range list {
		if r.Refuses && r.Cell != "" && r.Text != "" {
			return true
		}
	}
	return false
}
