package store

import "sync"

// bodies keeps decoded records by the entry they come from: an entry never
// changes, so neither does what was decoded. The zero value is ready. Only
// committed entries may be kept; an index of a write that is undone comes again.
type bodies[T any] struct {
	mu         sync.Mutex
	young, old map[int64]T
}

// bodiesKept bounds each of the two generations; ten years of sessions are
// about as many.
const bodiesKept = 20_000

func (b *bodies[T]) get(entry int64) (T, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	v, ok := b.young[entry]
	if !ok {
		if v, ok = b.old[entry]; ok {
			b.keep(entry, v)
		}
	}
	return v, ok
}

func (b *bodies[T]) put(entry int64, v T) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.keep(entry, v)
}

func (b *bodies[T]) keep(entry int64, v T) {
	if b.young == nil || len(b.young) >= bodiesKept {
		b.old, b.young = b.young, make(map[int64]T)
	}
	b.young[entry] = v
}
