package store

import (
	"context"
	"database/sql"
	"fmt"
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/session"
)

// A projector turns facts into derived rows. It is the one way rows come to be,
// for a write and for a rebuild alike. It lasts as long as nothing that it derived
// is undone, and nobody else writes.
type projector struct {
	ctx   context.Context
	c     *conn
	zones map[string]civil.Zone // by name, as entries name them

	// What completions ask again and again, as it stands: the versions of an exercise,
	// and of attendance and results that was put last. Lists are the projector's own.
	exercises  map[string][]datedBody[curriculum.Exercise]
	attendance put[session.Attendance]
	results    put[session.Results]
}

func newProjector(ctx context.Context, c *conn) *projector {
	return &projector{ctx: ctx, c: c, zones: map[string]civil.Zone{}, exercises: map[string][]datedBody[curriculum.Exercise]{}}
}

func (p *projector) exec(query string, args ...any) error { return p.c.exec(p.ctx, query, args...) }

// derive adds the rows of one fact. A first revision counts from its effective
// day on. A later one takes its place in the days of the record: from its
// effective day to the end of the row that counted on that day, whose part
// before stays; rows that begin later stay whole.
func (p *projector) derive(f fact) error {
	delete(p.exercises, f.entry.ID)
	if f.entry.Rev == 1 && !f.kind.facet {
		err := p.exec(`INSERT INTO record (id, kind, entry) VALUES (?1, ?2, ?3)`, f.entry.ID, f.kind.name, f.index)
		if err != nil {
			return f.wrap(err)
		}
	}
	if f.entry.Act == struckOut {
		return f.wrap(p.strikeOut(f))
	}
	until := openDay
	if f.entry.Rev > 1 {
		var err error
		if until, err = p.makeRoom(f); err != nil {
			return f.wrap(err)
		}
	}
	args := []any{f.entry.ID, f.entry.Rev, f.index, f.index, int64(open), f.entry.EffectiveDay.String(), until}
	if err := p.exec(f.kind.insert, append(append(args, f.kind.values(f.record)...), f.kind.last(string(f.entry.Body))...)...); err != nil {
		return f.wrap(err)
	}
	if f.kind.slow {
		if err := p.noteReference(f, f.kind.name, f.entry.ID); err != nil {
			return f.wrap(err)
		}
	}
	return f.wrap(f.kind.derive(p, f))
}

func (f fact) wrap(err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("deriving %s %s: %w", f.entry.Kind, f.entry.ID, err)
}

// A span is the days of a row that stands.
type span struct {
	row         int64
	from, until string
}

// makeRoom closes the row that counts on the fact's effective day, keeps its
// part before that day as a row of its own, and returns the day on which the
// next row begins.
func (p *projector) makeRoom(f fact) (until string, err error) {
	day := f.entry.EffectiveDay.String()
	until = openDay
	spans, err := p.standing(f)
	if err != nil {
		return "", err
	}
	for _, s := range spans {
		switch {
		case s.from <= day && day < s.until:
			if s.from < day {
				if err := p.keepBefore(f, s); err != nil {
					return "", err
				}
			}
			if err := p.exec(`UPDATE `+f.kind.table+` SET until_entry = ?1 WHERE rowid = ?2`, f.index, s.row); err != nil {
				return "", err
			}
			return s.until, nil
		case s.from > day && until == openDay:
			until = s.from // spans are in order: this one is the first after the day
		}
	}
	return until, nil
}

// standing returns the rows of the fact's record that stand, by their days.
func (p *projector) standing(f fact) (out []span, err error) {
	where, args := `id = ?1`, []any{f.entry.ID}
	if f.kind.slow {
		where, args = `kind = ?2 AND id = ?1`, append(args, f.kind.name)
	}
	err = p.c.each(p.ctx, func(rows *sql.Rows) error {
		var s span
		err := rows.Scan(&s.row, &s.from, &s.until)
		out = append(out, s)
		return err
	}, `SELECT rowid, from_day, until_day FROM `+f.kind.table+` WHERE `+where+` AND until_entry = `+openText+` ORDER BY from_day`, args...)
	return out, err
}

// keepBefore copies the part of a row before the fact's effective day.
func (p *projector) keepBefore(f fact, s span) error {
	columns := append(append([]string{}, f.kind.columns...), f.kind.lastColumns()...)
	own := strings.Join(columns, ", ")
	return p.exec(`INSERT INTO `+f.kind.table+` (id, rev, entry, since_entry, until_entry, from_day, until_day, `+own+`)
		SELECT id, rev, entry, ?1, `+openText+`, from_day, ?2, `+own+` FROM `+f.kind.table+` WHERE rowid = ?3`,
		f.index, f.entry.EffectiveDay.String(), s.row)
}

// insertStatement returns the statement that adds a row of the kind.
func (k *kind) insertStatement() string {
	columns := append([]string{"id", "rev", "entry", "since_entry", "until_entry", "from_day", "until_day"}, k.columns...)
	columns = append(columns, k.lastColumns()...)
	var places []string
	for i := range columns {
		places = append(places, "?"+strconv.Itoa(i+1))
	}
	return `INSERT INTO ` + k.table + ` (` + strings.Join(columns, ", ") + `) VALUES (` + strings.Join(places, ", ") + `)`
}

// lastColumns end every row: the body, and the kind where kinds share a table.
func (k *kind) lastColumns() []string {
	if k.slow {
		return []string{"body", "kind"}
	}
	return []string{"body"}
}

func (k *kind) last(body string) []any {
	if k.slow {
		return []any{body, k.name}
	}
	return []any{body}
}

// noteReference records that the decoded reference lacks a record from here on.
func (p *projector) noteReference(f fact, kind, id string) error {
	return p.exec(`INSERT INTO reference_entry (entry, kind, id) VALUES (?1, ?2, ?3)`, f.index, kind, id)
}

// noteStaff does so for a person or certificate of somebody who is staff.
func (p *projector) noteStaff(f fact, person id.Person) error {
	var one int
	found, err := p.c.one(p.ctx, []any{&one}, `SELECT 1 FROM reference WHERE kind = 'staff' AND id = ?1 LIMIT 1`, string(person))
	if err != nil || !found {
		return err
	}
	return p.noteReference(f, staffKind, string(person))
}

// staffKind is the kind under which everything about a member of staff is read.
const staffKind = "staff"
