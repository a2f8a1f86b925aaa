package drafting

import (
	"log/slog"
	"sync"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/store"
)

// Kind is what a draft is for.
type Kind string

// The kinds of draft.
const (
	ForIntake Kind = "intake" // places what trainees still need
	ForMend   Kind = "mend"   // places anew what a loss hit, with few changes
)

// State is how far a draft has come.
type State string

// The states of a draft, in the order of its life.
const (
	Queued    State = "queued"    // another draft is being searched
	Searching State = "searching" // its search runs
	Done      State = "done"      // its search ended: the time is up, or nothing better is possible
	Stopped   State = "stopped"   // its search was stopped and the best so far kept; Why says by whom
	Accepted  State = "accepted"  // what it proposes was booked
	Discarded State = "discarded" // it will not be booked
)

// Why is the cause for which a search was stopped.
type Why string

// The causes.
const (
	ByPerson Why = "by-a-person"
	Restart  Why = "restart" // the program was restarted
	Failed   Why = "failed"  // no plan could be made that holds; the log says more
)

// Options wire a desk.
type Options struct {
	Version string       // of the program, kept with each draft
	Log     *slog.Logger // nil = silent
	Clock   civil.Clock  // measures how long a search takes; nil = the machine's
}

// Desk is where drafts are made, looked at and accepted.
type Desk struct {
	store   *store.Store
	builder *planning.Builder
	version string
	log     *slog.Logger
	clock   civil.Clock

	queued chan struct{} // holds a token when a draft may be waiting

	mu       sync.Mutex
	running  *search                      // nil while none is searched
	latest   map[id.Draft]Progress        // of the one being searched
	watchers map[id.Draft][]chan Progress // of those not ended
}

// New returns a desk over a store. Nothing is searched until Run is called.
func New(s *store.Store, o Options) *Desk {
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Clock == nil {
		o.Clock = civil.Real
	}
	return &Desk{store: s, builder: &planning.Builder{}, version: o.Version, log: o.Log, clock: o.Clock,
		queued: make(chan struct{}, 1), latest: map[id.Draft]Progress{}, watchers: map[id.Draft][]chan Progress{}}
}
