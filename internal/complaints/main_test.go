package complaints_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/complaints"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/store"
)

func TestMain(m *testing.M) { demotest.Main(m, yard) }

// tuesday is the day on which the tests' yard stands.
var (
	tuesday = civil.DayOf(2027, time.March, 2)
	nine    = demo.Zone().At(tuesday, 9*60)
	ctx     = context.Background()
)

var yard = demotest.New(nine, 1)

// office is a desk over a yard of its own.
type office struct {
	testing.TB
	*complaints.Desk
	store         *store.Store
	keys          int
	administrator access.Actor
	instructor    access.Actor // responsible for height and rescue
	trainee       access.Actor
	auditor       access.Actor
}

func open(t testing.TB) *office {
	t.Helper()
	s := demotest.Open(t, yard.Copy(t), func() civil.Instant { return nine })
	o := &office{TB: t, store: s, Desk: complaints.New(s)}
	o.administrator, o.instructor = demotest.Actor(t, s, access.Administrator), demotest.Actor(t, s, access.Instructor)
	o.trainee, o.auditor = demotest.Actor(t, s, access.TraineeRole), demotest.Actor(t, s, access.Auditor)
	return o
}

func (o *office) read(do func(*store.View) error) {
	o.Helper()
	if err := o.store.Read(ctx, do); err != nil {
		o.Fatal(err)
	}
}

func (o *office) key() string {
	o.keys++
	return fmt.Sprintf("test %d", o.keys)
}
