package demo

import (
	"fmt"
	"math/rand/v2"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// The harnesses of the yard: six in each set, by invented serials. One of the last set
// is past its maker's day, so that the set may not be used.
const (
	harnessKit  = "kit-harness"
	setOf       = 6
	tooOldSince = 9 // days
)

// layItems writes the harnesses, one by one.
func (b *builder) layItems() {
	kit := idOf[id.Kit](b, "kit", harnessKit)
	sets := 0
	for _, row := range kits {
		if row.key == harnessKit {
			sets = row.count
		}
	}
	own := id.NewMaker(rand.NewChaCha8([32]byte{byte(b.Seed), 'i', 't', 'e', 'm', 's'})) // leaves what else is drawn as it was
	for n := range sets * setOf {
		first := b.workdayBefore(b.opened() - civil.Day(10+7*(n%setOf)))
		i := rig.Item{ID: id.Item(own.New()), Kit: kit, Piece: n/setOf + 1, Sort: rig.HarnessItem, Serial: text(fmt.Sprintf("CM-H%03d", 101+n)),
			Says: text(harnessWords[n%len(harnessWords)]), FirstUse: first, MakerLast: first.AddMonths(120)}
		if n == sets*setOf-1 {
			i.FirstUse, i.MakerLast = (b.Today - tooOldSince).AddMonths(-84), b.Today-tooOldSince
		}
		b.write(groundwork, b.opened(), b.person(administrator), "recorded", i)
		b.records.Items = append(b.records.Items, rig.Standing[rig.Item]{From: b.opened(), Value: i})
	}
}

var harnessWords = []string{"full body harness, size S", "full body harness, size M", "full body harness, size M", "full body harness, size L", "full body harness, size L", "full body harness, size XL"}
