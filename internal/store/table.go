package store

import (
	"cmp"
	"maps"
	"slices"

	"rungbook/internal/civil"
)

// Dated is a value and the days it counts for, [From, Until); Until 0 = no end.
// Entry is the ledger entry it came from.
type Dated[T any] struct {
	From, Until civil.Day
	Value       T
	Entry       int64
}

func (d Dated[T]) on(day civil.Day) bool { return d.From <= day && (d.Until == 0 || day < d.Until) }

// Table holds every dated version of the records of one kind. It is shared by
// readers and never changed: values taken from it are read only.
type Table[K ~string, T any] struct {
	versions map[K][]Dated[T] // by From, without overlap
	keys     []K              // sorted
	order    func(T) int      // place in lists, nil = by id
}

// On returns the version that counts on a day.
func (t Table[K, T]) On(k K, d civil.Day) (T, bool) {
	v, ok := t.find(k, d)
	return v.Value, ok
}

// EntryOn returns the ledger entry of the version that counts on a day, -1 for none.
func (t Table[K, T]) EntryOn(k K, d civil.Day) int64 {
	if v, ok := t.find(k, d); ok {
		return v.Entry
	}
	return -1
}

func (t Table[K, T]) find(k K, d civil.Day) (Dated[T], bool) {
	for _, v := range t.versions[k] {
		if v.on(d) {
			return v, true
		}
	}
	return Dated[T]{}, false
}

// Versions returns all versions of a record, by the day they begin.
func (t Table[K, T]) Versions(k K) []Dated[T] { return t.versions[k] }

// All returns what counts on a day, by its place in lists, then by id.
func (t Table[K, T]) All(d civil.Day) []T {
	out := make([]T, 0, len(t.keys))
	for _, k := range t.keys {
		if v, ok := t.find(k, d); ok {
			out = append(out, v.Value)
		}
	}
	if t.order != nil {
		slices.SortStableFunc(out, func(a, b T) int { return cmp.Compare(t.order(a), t.order(b)) })
	}
	return out
}

// Keys returns the ids of all records, sorted.
func (t Table[K, T]) Keys() []K { return t.keys }

// Len returns the number of records.
func (t Table[K, T]) Len() int { return len(t.keys) }

// with returns the table with other versions of some records.
func (t Table[K, T]) with(changed map[K][]Dated[T]) Table[K, T] {
	next := Table[K, T]{versions: maps.Clone(t.versions), order: t.order}
	if next.versions == nil {
		next.versions = make(map[K][]Dated[T], len(changed))
	}
	maps.Copy(next.versions, changed)
	maps.DeleteFunc(next.versions, func(_ K, v []Dated[T]) bool { return len(v) == 0 })
	next.keys = slices.Sorted(maps.Keys(next.versions))
	return next
}
