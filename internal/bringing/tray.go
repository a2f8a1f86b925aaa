package bringing

import (
	"context"
	"errors"
	"sync"
	"sync/atomic"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/sheets"
)

// Tray holds the files that are looked at before they are brought in, each for
// whoever sent it. It keeps them in memory only: they never reach a disk, and are
// gone when they are brought in, dropped, an hour old, or the program ends.
type Tray struct {
	desk *Desk
	ids  *id.Maker
	ctx  context.Context
	stop context.CancelFunc
	wait sync.WaitGroup
	one  chan struct{} // holds the file that is being judged: it takes memory

	mu   sync.Mutex
	kept map[string]*kept
}

// keptFor is how long a file is kept.
const keptFor civil.Minutes = 60

const (
	keptMost  = 4  // files at once
	heldMost  = 5  // example values of a column
	firstRows = 40 // that examples are taken from
)

type kept struct {
	owner     id.Account
	since     civil.Instant
	file      File
	mapping   Mapping
	columns   []Column
	sheets    []string
	rows      int
	done, all atomic.Int64
	judging   bool
	judged    *Judgement
	err       error
	cancel    context.CancelFunc
}

// Column is a column of a file as a page shows it.
type Column struct {
	Letters, Head string
	Examples      []string
	Hidden        bool
}

// Sent is a file on the tray as a page shows it.
type Sent struct {
	File      File
	Mapping   Mapping
	Columns   []Column
	Sheets    []string
	Rows      int // below the heads
	Judging   bool
	Done, All int        // rows judged
	Judged    *Judgement // nil until it is
	Err       error      // of judging
}

// NewTray returns an empty tray. Whoever opens it closes it.
func NewTray(d *Desk, ids *id.Maker) *Tray {
	ctx, stop := context.WithCancel(context.Background())
	return &Tray{desk: d, ids: ids, ctx: ctx, stop: stop, one: make(chan struct{}, 1), kept: map[string]*kept{}}
}

// Close ends what is being judged and waits for it.
func (t *Tray) Close() {
	t.stop()
	t.wait.Wait()
}

// Send puts a file on the tray and returns its key. An account's earlier file of
// the same list makes room.
func (t *Tray) Send(ctx context.Context, actor access.Actor, now civil.Instant, f File) (string, error) {
	k := &kept{owner: actor.Account, since: now, file: f}
	if err := t.read(ctx, actor, k, Mapping{}); err != nil {
		return "", err
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	t.clear(now)
	for key, other := range t.kept {
		if other.owner == actor.Account && other.file.List == f.List {
			t.drop(key)
		}
	}
	if len(t.kept) >= keptMost {
		return "", fault.New(fault.Conflict, "%d other files are being looked at. Bring one in or drop it, then send this one again.", len(t.kept))
	}
	key := t.ids.New()
	t.kept[key] = k
	return key, nil
}

// read fills what a page shows of a file.
func (t *Tray) read(ctx context.Context, actor access.Actor, k *kept, m Mapping) error {
	table, m, err := t.desk.Guess(ctx, actor, k.file, m)
	if err != nil {
		return err
	}
	k.mapping, k.sheets, k.rows, k.columns = m, table.Sheets, max(0, len(table.Rows)-1), nil
	width := 0
	for _, r := range table.Rows[:min(firstRows, len(table.Rows))] {
		width = max(width, len(r.Cells))
	}
	for c := range width {
		column := Column{Letters: sheets.Column(c), Hidden: table.Hidden[c]}
		for i, r := range table.Rows[:min(firstRows, len(table.Rows))] {
			text := r.Cell(c).Text
			switch {
			case i == 0:
				column.Head = text
			case text != "" && len(column.Examples) < heldMost:
				column.Examples = append(column.Examples, text)
			}
		}
		k.columns = append(k.columns, column)
	}
	return nil
}

// clear drops what is too old. The tray is locked.
func (t *Tray) clear(now civil.Instant) {
	for key, k := range t.kept {
		if now.Sub(k.since) >= keptFor {
			t.drop(key)
		}
	}
}

func (t *Tray) drop(key string) {
	if k := t.kept[key]; k != nil && k.cancel != nil {
		k.cancel()
	}
	delete(t.kept, key)
}

var errNotKept = fault.New(fault.NotFound, "The file is not kept any more. Send it again.")

func (t *Tray) find(actor access.Actor, now civil.Instant, key string) (*kept, error) {
	t.clear(now)
	k := t.kept[key]
	if k == nil || k.owner != actor.Account {
		return nil, errNotKept
	}
	return k, nil
}

// Look returns a file on the tray. Error: fault.NotFound, for another's file too.
func (t *Tray) Look(actor access.Actor, now civil.Instant, key string) (Sent, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	k, err := t.find(actor, now, key)
	if err != nil {
		return Sent{}, err
	}
	return Sent{k.file, k.mapping, k.columns, k.sheets, k.rows, k.judging, int(k.done.Load()), int(k.all.Load()), k.judged, k.err}, nil
}

// Drop takes a file off the tray.
func (t *Tray) Drop(actor access.Actor, now civil.Instant, key string) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	if _, err := t.find(actor, now, key); err != nil {
		return err
	}
	t.drop(key)
	return nil
}

// Reread reads a file anew as another sheet, encoding or separator is chosen.
func (t *Tray) Reread(ctx context.Context, actor access.Actor, now civil.Instant, key string, m Mapping) error {
	s, err := t.Look(actor, now, key)
	if err != nil {
		return err
	}
	fresh := &kept{file: s.File}
	if err := t.read(ctx, actor, fresh, m); err != nil {
		return err
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	k, err := t.find(actor, now, key)
	if err != nil {
		return err
	}
	k.mapping, k.columns, k.sheets, k.rows = fresh.mapping, fresh.columns, fresh.sheets, fresh.rows
	return nil
}

// Judge begins to judge a file by a mapping. Look tells how far it is.
func (t *Tray) Judge(actor access.Actor, now civil.Instant, key string, m Mapping) error {
	t.mu.Lock()
	defer t.mu.Unlock()
	k, err := t.find(actor, now, key)
	if err != nil {
		return err
	}
	if k.cancel != nil {
		k.cancel()
	}
	ctx, cancel := context.WithCancel(t.ctx)
	k.mapping, k.judged, k.err, k.judging, k.cancel = m, nil, nil, true, cancel
	k.done.Store(0)
	k.all.Store(int64(k.rows))
	t.wait.Go(func() {
		defer cancel()
		t.run(ctx, actor, k, m)
	})
	return nil
}

func (t *Tray) run(ctx context.Context, actor access.Actor, k *kept, m Mapping) {
	select {
	case t.one <- struct{}{}:
	case <-ctx.Done():
		return
	}
	defer func() { <-t.one }()
	j, err := t.desk.Judge(ctx, actor, k.file, m, nil, func(done, all int) {
		k.done.Store(int64(done))
		k.all.Store(int64(all))
	})
	t.mu.Lock()
	defer t.mu.Unlock()
	if errors.Is(err, context.Canceled) || ctx.Err() != nil {
		return
	}
	k.judged, k.err, k.judging = j, err, false
}
