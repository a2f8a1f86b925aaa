package planning_test

import (
	"flag"
	"testing"
	"time"

	"rungbook/internal/civil"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/store"
)

func TestMain(m *testing.M) {
	// Each random question builds a slice of the demo's yard: fewer than usual.
	if err := flag.Set("rapid.checks", "40"); err != nil {
		panic("rapid has no flag for the number of checks: " + err.Error())
	}
	demotest.Main(m, yard)
}

// demoDay is a Monday in term time.
var demoDay = civil.DayOf(2027, time.April, 12)

// yard is the demo's yard; these tests only read there.
var yard = demotest.New(demo.Zone().At(demoDay, 8*60), 1)

func openDemo(t testing.TB) *store.Store {
	t.Helper()
	return demotest.Open(t, yard.Dir(t), func() civil.Instant { return demo.Zone().At(demoDay, 8*60) })
}
