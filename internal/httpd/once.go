package httpd

import (
	"maps"
	"sync"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/web/page"
)

// onceOnly holds pages with a secret between the form that made it and the page
// that shows it, in memory and for its maker alone: a secret is never written
// down, and a page shown once is gone.
type onceOnly struct {
	mu   sync.Mutex
	held map[string]heldOnce
}

type heldOnce struct {
	of   id.Account
	at   civil.Instant
	page page.Once
}

// heldFor is how long a page waits to be shown.
const heldFor civil.Minutes = 5

func (o *onceOnly) hold(ticket string, of id.Account, now civil.Instant, p page.Once) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.held == nil {
		o.held = map[string]heldOnce{}
	}
	maps.DeleteFunc(o.held, func(_ string, h heldOnce) bool { return h.at.Add(heldFor) < now })
	o.held[ticket] = heldOnce{of, now, p}
}

func (o *onceOnly) take(ticket string, of id.Account) (page.Once, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	h, ok := o.held[ticket]
	if !ok || h.of != of {
		return page.Once{}, false
	}
	delete(o.held, ticket)
	return h.page, true
}
