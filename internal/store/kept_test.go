package store

import (
	"context"
	"database/sql"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/people"
)

// newlyMade are the tables that a start fills by itself.
var newlyMade = map[string]bool{"setup_code": true, "migration": true}

// tables returns the tables of a database with every column to order by.
func (v *View) tables() (out map[string]string, err error) {
	out = map[string]string{}
	return out, v.each(func(rows *sql.Rows) error {
		var name string
		var columns int
		err := rows.Scan(&name, &columns)
		var order []string
		for i := range columns {
			order = append(order, fmt.Sprint(i+1))
		}
		out[name] = strings.Join(order, ", ")
		return err
	}, `SELECT name, ncol FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'`)
}

// relay gives what a store keeps to a new one, line by line as an archive does.
func relay(v *View, r *Raising) error {
	pass := []func() error{
		func() error { return v.EachText(through(v, r.Text)) },
		func() error {
			var raws [][]byte
			if err := v.EachEntry(func(raw []byte) error { raws = append(raws, append([]byte{}, raw...)); return nil }); err != nil {
				return err
			}
			return v.EachHead(through(v, func(k KeptHead) error {
				for r.Entries() < k.Size {
					if err := r.Entry(raws[r.Entries()]); err != nil {
						return err
					}
				}
				return r.Head(k)
			}))
		},
		func() error { return v.EachCommand(through(v, r.Command)) },
		func() error { return v.EachAccount(through(v, r.Account)) },
		func() error { return v.EachLink(through(v, r.Link)) },
		func() error { return v.EachToken(through(v, r.Token)) },
		func() error {
			drafts, err := v.KeptDrafts()
			for _, k := range drafts {
				if k, err = v.Completed(k); err != nil {
					return err
				}
				files, err := v.DraftFiles(id.Draft(k.ID))
				if err != nil {
					return err
				}
				if err := through(v, func(k KeptDraft) error { return r.Draft(k, files) })(k); err != nil {
					return err
				}
			}
			return err
		},
	}
	for _, p := range pass {
		if err := p(); err != nil {
			return err
		}
	}
	return nil
}

// through hands on what comes back from a line.
func through[T any](v *View, take func(T) error) func(T) error {
	return func(k T) error {
		line, err := v.Line(k)
		if err != nil {
			return err
		}
		var back T
		if err := ReadLine(line, &back); err != nil {
			return fmt.Errorf("%s: %w", line, err)
		}
		return take(back)
	}
}

// raised makes a second store from what b keeps.
func (b *bench) raised(dir string) (*Store, error) {
	text, err := os.ReadFile(b.file(keyName))
	if err != nil {
		return nil, err
	}
	if err := os.WriteFile(filepath.Join(dir, keyName), text, 0o600); err != nil {
		return nil, err
	}
	err = b.Read(context.Background(), func(v *View) error {
		return Raise(context.Background(), dir, func(r *Raising) error { return relay(v, r) })
	})
	if err != nil {
		return nil, err
	}
	o := b.options()
	o.Dir, o.MustExist = dir, true
	return Open(context.Background(), o)
}

// same fails unless every table of two stores holds the same rows.
func (b *bench) same(r fatal, other *Store) {
	ctx := context.Background()
	err := b.Read(ctx, func(v *View) error {
		return other.Read(ctx, func(w *View) error {
			tables, err := v.tables()
			if err != nil || len(tables) < 25 {
				return fmt.Errorf("%d tables: %w", len(tables), err)
			}
			for name, order := range tables {
				if newlyMade[name] {
					continue
				}
				compared, err := compare(ctx, v.c, w.c, name, order)
				if err != nil {
					return err
				}
				if compared.Difference != "" {
					r.Fatalf("table %s: %s", name, compared.Difference)
				}
			}
			return nil
		})
	})
	if err != nil {
		r.Fatal(err)
	}
}

type fatal interface {
	Fatal(...any)
	Fatalf(string, ...any)
}

// beside writes what is kept beside the ledger: accounts, links, tokens, drafts.
func (s *story) beside(r *rapid.T) {
	b, ctx := s.b, context.Background()
	text := rapid.StringMatching(`[ -~äé"\\\n☃]{0,12}`)
	err := b.try(func(tx *Tx) error {
		for i := range rapid.IntRange(0, 3).Draw(r, "accounts") {
			of := id.Account(fmt.Sprint("account", i))
			if err := putAll(tx, access.Account{ID: of, Person: "brona", Roles: []access.Role{access.Instructor}}); err != nil {
				return err
			}
			if err := tx.SetSecret(of, fmt.Sprint("a", i, "@yard.example"), text.Draw(r, "hash")); err != nil {
				return err
			}
			if rapid.Bool().Draw(r, "link") {
				if err := tx.SetLink(of, text.Draw(r, "secret")+string(of), tx.Now().Add(civil.Minutes(rapid.IntRange(0, 5000).Draw(r, "ends")))); err != nil {
					return err
				}
			}
			token := Token{ID: id.Token(tx.ID()), Account: of, Name: text.Draw(r, "token"), Scope: access.Scope("read"), LastDay: tx.Today() + 9}
			if err := tx.AddToken(token, tx.ID()); err != nil {
				return err
			}
			if rapid.Bool().Draw(r, "revoked") {
				if err := tx.EndTokens(of); err != nil {
					return err
				}
			}
		}
		return putAll(tx, people.Person{ID: "typed", Name: tx.Seal("typed", "name", text.Draw(r, "name")), Born: tx.Seal("typed", "born", "1990-02-01")})
	})
	if err != nil {
		r.Fatal(err)
	}
	var before id.Draft
	for i := range rapid.IntRange(0, 2).Draw(r, "drafts") {
		d, files := aDraft()
		files.Problem = []byte(text.Draw(r, "problem") + "x")
		d.ProblemSHA, d.FromSHA, d.Wish, d.Repeats = sumOf(files.Problem), sumOf(files.From), text.Draw(r, "wish"), before
		if rapid.Bool().Draw(r, "nothing to mend") {
			files.From, d.FromSHA = nil, ""
		}
		made, err := b.AddDraft(ctx, fmt.Sprint("draft", i, b.at), d, files)
		if err != nil {
			r.Fatal(err)
		}
		before = made
		if rapid.Bool().Draw(r, "planned") {
			err = b.ChangeDraft(ctx, made, func(c *DraftChange) error {
				c.State, c.EndedAt, c.Plan, c.Points = "done", nine, []byte(text.Draw(r, "plan")), []DraftPoint{{1, 10, 900, 100, 3}, {9, 90, 800, 200, 2}}
				return nil
			})
			if err == nil {
				err = b.Tell(ctx, made, []Told{{"brona", nine, "ivo"}})
			}
		}
		if err != nil {
			r.Fatal(err)
		}
	}
	if rapid.Bool().Draw(r, "erased") {
		for _, statement := range []string{`DELETE FROM private_value WHERE subject IN ('typed', 'tilde')`, `UPDATE person_name SET folded = '' WHERE person IN ('typed', 'tilde')`} {
			if err := b.write0(statement); err != nil {
				r.Fatal(err)
			}
		}
	}
}

func TestWhatAStoreKeepsGivesAnEqualStore(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		b := &bench{t: t, dir: t.TempDir(), at: morning, hasty: true}
		b.open()
		defer b.Close()
		if rapid.IntRange(0, 9).Draw(r, "a yard") > 0 {
			b.yard()
			b.put(booked("first", nine))
			s := &story{b: b, kits: map[id.Kit]map[civil.Day]int{}, people: map[id.Person]map[civil.Day]string{}, booked: map[id.Session]map[civil.Day]civil.Day{}}
			for range rapid.IntRange(0, 6).Draw(r, "writes") {
				s.write(r)
			}
			s.beside(r)
		}
		other, err := b.raised(t.TempDir())
		if err != nil {
			r.Fatal(err)
		}
		defer other.Close()
		b.same(r, other)
		if report, err := other.Rebuild(context.Background()); err != nil || !report.Equal() {
			r.Fatalf("%v, %v", report, err)
		}
		// What is written next is the same too: both go on as one.
		b.at = b.at.Add(time.Hour)
		one := b.command()
		for _, s := range []*Store{b.Store, other} {
			_, err := s.Write(context.Background(), one, func(tx *Tx) (Outcome, error) {
				return "/next", putAll(tx, people.Employer{ID: "next"})
			})
			if err != nil {
				r.Fatal(err)
			}
		}
		b.same(r, other)
	})
}

func TestMoreHashesThanAreHeldAtOnceGiveTheSameTree(t *testing.T) {
	b := &bench{t: t, dir: t.TempDir(), at: morning, hasty: true}
	b.open()
	defer b.Close()
	for range 3 {
		b.do(func(tx *Tx) error {
			for range 900 {
				if err := putAll(tx, people.Employer{ID: id.Employer(tx.ID())}); err != nil {
					return err
				}
			}
			return nil
		})
	}
	other, err := b.raised(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer other.Close()
	b.same(t, other)
}

func TestARecordIsShownInTheClearAndWhatWasErasedAsErased(t *testing.T) {
	b := newBench(t)
	b.yard()
	b.do(func(tx *Tx) error {
		return putAll(tx, people.Person{ID: "odd", Name: tx.Seal("odd", "name", "Odd Nyström"), Born: tx.Seal("odd", "born", "1990-02-01")})
	})
	shown := func() string {
		var out string
		b.read(func(v *View) error {
			return v.EachStanding("person", func(k KeptRecord) error {
				if k.ID == "odd" {
					out = string(k.Record)
				}
				return nil
			})
		})
		return out
	}
	if got, want := shown(), `{"id":"odd","name":"Odd Nyström","born":"1990-02-01"}`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	if err := b.write0(`DELETE FROM private_value WHERE subject = 'odd' AND field = 'born'`); err != nil {
		t.Fatal(err)
	}
	if got, want := shown(), `{"id":"odd","name":"Odd Nyström","born":{"erased":true}}`; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	b.read(func(v *View) error {
		if err := v.EachStanding("sheep", nil); err == nil {
			t.Error("a kind that is none is read")
		}
		return nil
	})
}

func TestMoreRecordsThanAreReadAtOnceAreAllShown(t *testing.T) {
	b := newBench(t)
	b.do(func(tx *Tx) error {
		for i := range 2*standingAtOnce + 1 {
			if err := putAll(tx, people.Employer{ID: id.Employer(fmt.Sprintf("e%04d", i))}); err != nil {
				return err
			}
		}
		return nil
	})
	n, last := 0, ""
	b.read(func(v *View) error {
		return v.EachStanding("employer", func(k KeptRecord) error {
			if k.ID <= last {
				t.Errorf("%s comes after %s", k.ID, last)
			}
			n, last = n+1, k.ID
			return nil
		})
	})
	if n != 2*standingAtOnce+1 {
		t.Errorf("%d records are shown", n)
	}
}

// TestNothingIsRaisedFromWhatTheKeyDidNotSign changes one thing of what is relayed.
func TestNothingIsRaisedFromWhatTheKeyDidNotSign(t *testing.T) {
	b := newBench(t)
	b.yard()
	for said, change := range map[string]func(v *View, r *Raising) error{
		"is not what it commits to": func(v *View, r *Raising) error {
			return v.EachText(func(k KeptText) error { k.Value += "!"; return r.Text(k) })
		},
		"covers 0 of 1": func(v *View, r *Raising) error {
			return firstEntry(v, r.Entry)
		},
		"is not that of the entries before it": func(v *View, r *Raising) error {
			if err := firstEntry(v, r.Entry); err != nil {
				return err
			}
			return v.EachHead(func(k KeptHead) error { return r.Head(k) })
		},
		"is not signed by this key": func(v *View, r *Raising) error {
			return v.EachHead(func(k KeptHead) error {
				k.Note = strings.Replace(k.Note, fmt.Sprint(k.Size), fmt.Sprint(k.Size+1), 1)
				return r.Head(k)
			})
		},
		"is not in canonical form": func(v *View, r *Raising) error {
			return firstEntry(v, func(raw []byte) error { return r.Entry(append([]byte(" "), raw...)) })
		},
		"UNIQUE": func(v *View, r *Raising) error {
			return firstEntry(v, func(raw []byte) error {
				if err := r.Entry(raw); err != nil {
					return err
				}
				return r.Entry(raw)
			})
		},
	} {
		dir := b.t.TempDir()
		text, err := os.ReadFile(b.file(keyName))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, keyName), text, 0o600); err != nil {
			t.Fatal(err)
		}
		b.read(func(v *View) error {
			err := Raise(t.Context(), dir, func(r *Raising) error { return change(v, r) })
			if err == nil || !strings.Contains(err.Error(), said) {
				t.Errorf("got %v (%v), want an error that says %q", err, fault.Of(err), said)
			}
			return nil
		})
	}
}

func firstEntry(v *View, fn func([]byte) error) error {
	done := false
	return v.EachEntry(func(raw []byte) error {
		if done {
			return nil
		}
		done = true
		return fn(raw)
	})
}
