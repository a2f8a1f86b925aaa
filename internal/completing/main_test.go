package completing_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/completing"
	"rungbook/internal/demo"
	"rungbook/internal/demo/demotest"
	"rungbook/internal/id"
	"rungbook/internal/running"
	"rungbook/internal/store"
)

func TestMain(m *testing.M) {
	cheap := *running.Hashing
	cheap.Memory, cheap.Iterations = 64, 1
	*running.Hashing = cheap
	demotest.Main(m, yard)
}

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
	*completing.Desk
	store         *store.Store
	keys          int
	administrator access.Actor
	instructor    access.Actor
}

func open(t testing.TB) *office {
	t.Helper()
	s := demotest.Open(t, yard.Copy(t), func() civil.Instant { return nine })
	o := &office{TB: t, store: s, Desk: completing.New(s)}
	o.administrator, o.instructor = demotest.Actor(t, s, access.Administrator), demotest.Actor(t, s, access.Instructor)
	return o
}

func (o *office) read(do func(*store.View) error) {
	o.Helper()
	if err := o.store.Read(ctx, do); err != nil {
		o.Fatal(err)
	}
}

func (o *office) put(act string, record any) {
	o.Helper()
	_, err := o.store.Write(ctx, store.Command{Key: o.key(), Actor: o.administrator, Role: access.Administrator}, func(tx *store.Tx) (store.Outcome, error) {
		_, err := tx.Put(act, 0, record)
		return "", err
	})
	if err != nil {
		o.Fatal(err)
	}
}

func (o *office) key() string {
	o.keys++
	return fmt.Sprintf("test %d", o.keys)
}

// two are the demo's proposals: the one that may be given, and the held one.
func (o *office) two() (ready, held completing.Proposal) {
	o.Helper()
	list, err := o.Proposals(ctx, o.administrator)
	if err != nil {
		o.Fatal(err)
	}
	if len(list.Proposals) != 2 || list.Ready() != 1 {
		o.Fatalf("%d proposals, %d ready; want two and one", len(list.Proposals), list.Ready())
	}
	return list.Proposals[0], list.Proposals[1]
}

func (o *office) certificates(p id.Person) (n int) {
	o.read(func(v *store.View) error {
		list, err := v.CertificatesOf(p)
		n = len(list)
		return err
	})
	return n
}
