package solve

// A ruin unseats needs that have something to do with each other, so that a
// rebuild can seat them better (Shaw 1998). Each is one file.
type ruin struct {
	name string
	do   func(k *rebuilder, x *session, most int) // starting at x, about most needs
}

// ruins are the ways to ruin, in the order in which they are numbered; those for
// needs without a seat are the last two.
var ruins = []ruin{
	{"group", ruinGroup},
	{"day", ruinDay},
	{"station", ruinStation},
	{"teacher", ruinTeacher},
	{"exercise", ruinExercise},
	{"intake", ruinIntake},
	{"trainee", ruinTrainee},
	{"thin day", ruinThinDay},
	{"outline", ruinOutline},
	{"eject", ruinEject},
	{"unplaced", ruinUnplaced},
}

// clear dissolves a session if it may be changed.
func (k *rebuilder) clear(x *session) {
	if k.mayUnseat(x) {
		k.dissolve(x, func(n int) { k.take(n) })
	}
}

// clearRow dissolves sessions of a row, those nearest to x first, until about most
// needs have lost their seat.
func (k *rebuilder) clearRow(r row, x *session, most int) {
	lo := r.from(x.hold.Start)
	hi := lo
	list := make([]*session, 0, 16)
	for seats := 0; seats < most && (lo > 0 || hi < len(r)); {
		if lo > 0 && (hi == len(r) || k.chance.IntN(2) == 0) {
			lo--
			list = append(list, r[lo])
		} else {
			list = append(list, r[hi])
			hi++
		}
		seats += len(list[len(list)-1].trainees)
	}
	for _, o := range list {
		k.clear(o)
	}
}
