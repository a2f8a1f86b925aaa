package main

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"maps"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/batch"
	"rungbook/internal/bringing"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/sheets"
	"rungbook/internal/signin"
	"rungbook/internal/store"
)

type importCommand struct {
	List      string            `arg:"" help:"What the file lists: people, qualifications, inspections, intakes, certificates or sessions." enum:"people,qualifications,inspections,intakes,certificates,sessions"`
	File      string            `arg:"" help:"Workbook (.xlsx) or list of values (.csv)." placeholder:"FILE"`
	Data      string            `help:"Folder that holds the yard's records." placeholder:"DIR" required:""`
	By        string            `help:"E-mail address of the administrator who vouches for the file." placeholder:"EMAIL" required:""`
	DryRun    bool              `help:"Judge every row and change nothing."`
	Sheet     string            `help:"Sheet of the workbook. Default: the first visible one." placeholder:"NAME"`
	Encoding  string            `help:"Encoding of a CSV, such as iso-8859-15. Default: looked at." placeholder:"NAME"`
	Separator string            `help:"What stands between the values of a CSV: , ; | or tab. Default: looked at." placeholder:"MARK"`
	Column    map[string]string `help:"Column of a field, such as --column name=B; empty for none. Default: as last time, else by the heads." placeholder:"FIELD=LETTERS"`
	DayOrder  string            `help:"Of days such as 2/3/27: day-first or month-first. Default: such a day is refused." enum:",day-first,month-first" default:"" placeholder:"ORDER"`
	CountFrom string            `help:"Year from which bare numbers count days, 1900 or 1904. Default: they are refused." enum:",1900,1904" default:"" placeholder:"YEAR"`
	Wait      time.Duration     `help:"How long to wait while another program, such as the server, writes to the record." default:"2m" placeholder:"TIME"`
	Rest      []string          `help:"Profiles of the rule book that bind an intake's trainees." placeholder:"PROFILE"`
}

// Help tells how rows are judged and how the command ends.
func (importCommand) Help() string {
	return `Judges every row of the file against the records: it is taken, taken with caution, or refused, and each remark names its cell. What is taken becomes one batch, all or nothing, marked with the file's hash and the row; on the pages it can be taken back as a whole as long as nothing rests on it. Refused rows are left out: mend them in the file and send it again without those that were taken.

The first row holds the heads. Formulas, merged and hidden cells, and days that can be two days are refused; macros and links to other files refuse the whole file.

It may run beside a server: pages go on, and a dry run waits for nobody. Where another program writes just then, it waits for that one, and says so.

Exit codes: 0 every row was taken, or would be; 1 rows were refused, and the others were taken, or would be; 2 the file, the folder or an argument can't be used, or no row can be taken: nothing was changed; 4 another program wrote to the record all the while: nothing was changed, and the same command is right later.

Examples:

  rungbook import people staff.xlsx --data /srv/yard --by odalys@yard.example --dry-run
  rungbook import certificates old.csv --data /srv/yard --by odalys@yard.example --day-order day-first`
}

// softMemory is where the program begins to collect its garbage more often, so that
// a list of 100,000 rows is judged and brought in within 300 MB.
const softMemory = 180 << 20

// holdMemory keeps memory low unless whoever runs the program has said otherwise.
func holdMemory() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(softMemory)
	}
}

// Run judges a file and, unless it is a dry run, brings it in.
func (c *importCommand) Run(s *surroundings) error {
	holdMemory()
	dir, err := dataFolder(c.Data, "rungbook")
	if err != nil {
		return err
	}
	data, err := readList(c.File)
	if err != nil {
		return err
	}
	f := bringing.File{List: batch.List(c.List), Name: filepath.Base(c.File), Data: data}
	return withStore(s.ctx, store.Options{Dir: dir, Clock: civil.Real, MustExist: true}, func(st *store.Store) error {
		actor, err := vouching(s, st, c.By)
		if err != nil {
			return err
		}
		return c.bring(s, bringing.New(st), actor, f)
	})
}

// patiently does something, again while another program is in its way, as long as
// c.Wait allows.
func (c *importCommand) patiently(s *surroundings, do func() error) error {
	began, told := civil.Real(), false
	for {
		err := do()
		if fault.Of(err) != fault.Busy || civil.Real().Sub(began) >= c.Wait {
			return err
		}
		if !told {
			fmt.Fprintln(s.stderr, "rungbook: another program is writing to the record; waiting for it")
			told = true
		}
		select {
		case <-time.After(waitStep):
		case <-s.ctx.Done():
			return s.ctx.Err()
		}
	}
}

// waitStep stands between two tries to write.
const waitStep = 200 * time.Millisecond

func (c *importCommand) bring(s *surroundings, desk *bringing.Desk, actor access.Actor, f bringing.File) error {
	m := bringing.Mapping{Sheet: c.Sheet, Encoding: strings.ToLower(c.Encoding), Separator: strings.ReplaceAll(c.Separator, "tab", "\t")}
	for _, p := range c.Rest {
		m.Rest = append(m.Rest, id.Profile(p))
	}
	t, m, err := desk.Guess(s.ctx, actor, f, m)
	if err != nil {
		return err
	}
	for name, letters := range c.Column {
		if !slices.ContainsFunc(bringing.Fields(f.List), func(x bringing.Field) bool { return x.Name == name }) {
			return fault.New(fault.Invalid, "--column: the list %s has no field %q", f.List, name)
		}
		m.Columns[name] = strings.ToUpper(letters)
	}
	m.Habits = sheets.Habits{Order: c.DayOrder, Serial: c.CountFrom}
	seen, err := lookAt(s, desk, actor, f, m, t)
	if err != nil {
		return wordsOf(err)
	}
	switch {
	case c.DryRun:
		fmt.Fprintf(s.stdout, "%d rows would be taken (%d with caution), %d refused. Nothing was changed.\n", seen.Taken, seen.Cautions, seen.Refused)
	default:
		var made id.Batch
		key := id.NewMaker(rand.Reader).New()
		err := c.patiently(s, func() (err error) {
			made, err = desk.Bring(s.ctx, actor, f, m, seen, key)
			return err
		})
		if err != nil {
			return err
		}
		fmt.Fprintf(s.stdout, "%d rows were taken (%d with caution) as batch %s, %d refused.\n", seen.Taken, seen.Cautions, made, seen.Refused)
	}
	if seen.Refused > 0 {
		return errFound
	}
	return nil
}

// lookAt judges a file and prints what was found. It keeps neither the rows nor the
// judgement: bringing in makes its own.
func lookAt(s *surroundings, desk *bringing.Desk, actor access.Actor, f bringing.File, m bringing.Mapping, t *sheets.Table) (bringing.Seen, error) {
	j, err := desk.Judge(s.ctx, actor, f, m, t, nil)
	if err != nil {
		return bringing.Seen{}, err
	}
	printJudged(s.stdout, j)
	return j.SeenOf(), nil
}

// printJudged prints one line a remark.
func printJudged(w io.Writer, j *bringing.Judgement) {
	for _, r := range j.Rows {
		for _, x := range r.Remarks {
			word := "caution"
			if x.Refuses {
				word = "refused"
			}
			fmt.Fprintf(w, "%s %s: %s\n", x.Cell, word, x.Text)
		}
	}
}

// readList reads a file that is not larger than a list may be.
func readList(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, fault.New(fault.Unusable, "%s can't be read: %w", name, plainCause(err))
	}
	data, err := io.ReadAll(io.LimitReader(f, sheets.MaxBytes+1))
	if err := errors.Join(err, f.Close()); err != nil {
		return nil, fault.New(fault.Unusable, "%s can't be read: %w", name, plainCause(err))
	}
	return data, nil
}

// vouching returns who acts by an account's e-mail address: whoever can read the
// folder with its key could sign in as anybody.
func vouching(s *surroundings, st *store.Store, email string) (access.Actor, error) {
	var account access.Account
	var round int64
	err := st.Read(s.ctx, func(v *store.View) (err error) {
		if account, _, err = v.AccountByEmail(email); err == nil {
			round, err = v.RoundOf(account.ID)
		}
		return err
	})
	if err != nil {
		return access.Actor{}, err
	}
	o, err := signin.New(st).Open(s.ctx, account.ID, round)
	if err == nil && o.Actor.Account == "" {
		err = fault.New(fault.Forbidden, "the account %s has ended", email)
	}
	return o.Actor, err
}

// wordsOf joins the messages of a form, whose fields a terminal does not show.
func wordsOf(err error) error {
	var form *fault.Form
	if !errors.As(err, &form) {
		return err
	}
	var said []string
	for _, name := range slices.Sorted(maps.Keys(form.Fields)) {
		said = append(said, form.Fields[name])
	}
	return fault.New(fault.Invalid, "%s", strings.Join(said, " "))
}
