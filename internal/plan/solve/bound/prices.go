package bound

// scale is how many parts the unit of cost is cut into for prices.
const scale = 1 << 12

// outScale is the same where only needs left out are counted.
const outScale = 1 << 16

// prices are what a relaxed rule costs: one seat in an exercise on a day, one
// instructor or one further member of staff for a session of it on that day, room
// for one trainee on its rig (by exercise × days + day), and one staff minute beyond
// a cut's least.
type prices struct {
	seat, teach, aid, room []int64
	cut                    []int64
}

// cutPrices is where cut stands in lists.
const cutPrices = 4

func newPrices(f *facts, cuts int) *prices {
	n := len(f.exercises) * len(f.days)
	return &prices{make([]int64, n), make([]int64, n), make([]int64, n), make([]int64, n), make([]int64, cuts)}
}

// excess is how far an answer to the relaxed problem oversteps each rule: seats
// taken less seats offered (and less room), staff asked less staff given, a cut's least staff
// minutes less those paid. Raising a price where it is positive raises the bound.
type excess prices

func (x *excess) clear() {
	for _, list := range x.lists() {
		clear(list)
	}
}

func (x *prices) lists() [5][]int64 { return [...][]int64{x.seat, x.teach, x.aid, x.room, x.cut} }
func (x *excess) lists() [5][]int64 { return (*prices)(x).lists() }

// copyFrom makes x equal to y.
func (x *prices) copyFrom(y *prices) {
	from := y.lists()
	for i, list := range x.lists() {
		copy(list, from[i])
	}
}
