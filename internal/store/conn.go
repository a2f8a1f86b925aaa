package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"sync"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// A conn is one database connection with the statements prepared on it. It is
// used by one transaction at a time.
type conn struct {
	sql   *sql.Conn
	stmts map[string]*sql.Stmt
}

func newConn(ctx context.Context, db *sql.DB) (*conn, error) {
	c, err := db.Conn(ctx)
	if err != nil {
		return nil, err
	}
	return &conn{c, map[string]*sql.Stmt{}}, nil
}

func (c *conn) close() error {
	var errs []error
	for _, s := range c.stmts {
		errs = append(errs, s.Close())
	}
	return errors.Join(append(errs, c.sql.Close())...)
}

func (c *conn) prepare(ctx context.Context, query string) (*sql.Stmt, error) {
	if s, ok := c.stmts[query]; ok {
		return s, nil
	}
	s, err := c.sql.PrepareContext(ctx, query)
	if err != nil {
		return nil, fmt.Errorf("preparing %s: %w", query, err)
	}
	c.stmts[query] = s
	return s, nil
}

func (c *conn) exec(ctx context.Context, query string, args ...any) error {
	s, err := c.prepare(ctx, query)
	if err != nil {
		return err
	}
	_, err = s.ExecContext(ctx, args...)
	return err
}

// each calls scan on every row of a query.
func (c *conn) each(ctx context.Context, scan func(*sql.Rows) error, query string, args ...any) (err error) {
	s, err := c.prepare(ctx, query)
	if err != nil {
		return err
	}
	rows, err := s.QueryContext(ctx, args...)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, rows.Close()) }()
	for rows.Next() {
		if err := scan(rows); err != nil {
			return err
		}
	}
	return rows.Err()
}

// one reads the single row of a query into dest and reports whether there was one.
func (c *conn) one(ctx context.Context, dest []any, query string, args ...any) (found bool, err error) {
	err = c.each(ctx, func(rows *sql.Rows) error { found = true; return rows.Scan(dest...) }, query, args...)
	return found, err
}

// A pool hands out reading connections and keeps them with their statements.
type pool struct {
	db   *sql.DB
	seat chan struct{} // one token for each connection in use
	mu   sync.Mutex
	free []*conn
}

// readers is how many reads run at once; a page uses one.
const readers = 16

func newPool(db *sql.DB) *pool { return &pool{db: db, seat: make(chan struct{}, readers)} }

func (p *pool) take(ctx context.Context) (*conn, error) {
	select {
	case p.seat <- struct{}{}:
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	p.mu.Lock()
	if n := len(p.free); n > 0 {
		c := p.free[n-1]
		p.free = p.free[:n-1]
		p.mu.Unlock()
		return c, nil
	}
	p.mu.Unlock()
	c, err := newConn(ctx, p.db)
	if err != nil {
		<-p.seat
	}
	return c, err
}

// give returns a connection; one that is not sound is closed.
func (p *pool) give(c *conn, sound bool) error {
	defer func() { <-p.seat }()
	if !sound {
		return c.close()
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	p.free = append(p.free, c)
	return nil
}

func (p *pool) close() error {
	p.mu.Lock()
	defer p.mu.Unlock()
	var errs []error
	for _, c := range p.free {
		errs = append(errs, c.close())
	}
	p.free = nil
	return errors.Join(append(errs, p.db.Close())...)
}
