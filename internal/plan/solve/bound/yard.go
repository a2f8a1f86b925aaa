package bound

import (
	"cmp"
	"fmt"
	"slices"

	"rungbook/internal/civil"
)

// ground is stations that share zones, one with another: what one day holds on
// them is worked out together.
type ground struct {
	places []int // indexes of facts.places
	days   []*fullDays
}

// fullDays lists the fullest days of a ground, as counts of sessions by place.
// Where they would be too many, apart holds its stations one by one.
type fullDays struct {
	full  [][]uint8
	tops  []uint8 // by place, the most in full
	apart []berth
}

// top is the most sessions of place k among the counts.
func (v *fullDays) top(k int) (n int) {
	if v.tops != nil {
		n = int(v.tops[k])
	}
	return n
}

// room is a station or zone of a ground on one day: sessions of place i take
// step[i] of it (0 = none), of size in all.
type room struct {
	step []civil.Minutes
	size civil.Minutes
}

// berth is one station by itself, as a knapsack.
type berth struct {
	places []int // indexes of ground.places
	step   []int64
	size   int64
}

// mostFullDays is the most counts a ground's day may list.
const mostFullDays = 3000

// newYard puts stations that share zones together and works out what their days
// hold.
//
// Proof. Two sessions of one day on one station lie with their starts at least
// minutes + strike + turnaround + the next setup apart; starts differ by whole
// grid steps; so by at least step(e) = that sum with the station's least setup,
// rounded up. On one zone the same without the turnaround. Take an unbroken run of
// time in which sessions can be: of those inside it the last one's end is at most
// the run's end, so Σ step ≤ length + the largest step − minutes. Summed over the
// runs of a day that is the room's size. Any valid day keeps within every room of
// the ground; the counts listed are all that do and to which nothing can be added.
func (f *facts) newYard() (out []*ground) {
	for _, list := range f.grounds() {
		g := &ground{places: list, days: make([]*fullDays, len(f.days))}
		known := make(map[string]*fullDays)
		for d := range f.days {
			rooms := f.rooms(list, d)
			if len(rooms) == 0 {
				continue
			}
			key := fmt.Sprint(rooms, f.openPlaces(list, d))
			if known[key] == nil {
				known[key] = f.fill(list, d, rooms)
			}
			g.days[d] = known[key]
		}
		out = append(out, g)
	}
	return out
}

// grounds returns places by ground, in order of the first place.
func (f *facts) grounds() (out [][]int) {
	leader := make([]int, len(f.p.Stations))
	for i := range leader {
		leader[i] = i
	}
	find := func(i int) int {
		for leader[i] != i {
			i = leader[i]
		}
		return i
	}
	zones := make(map[string]int)
	for i := range f.p.Stations {
		for _, z := range f.p.Stations[i].Zones {
			if j, ok := zones[z]; ok {
				leader[find(i)] = find(j)
			}
			zones[z] = i
		}
	}
	at := make(map[int]int)
	for i := range f.places {
		root := find(f.places[i].station)
		if _, ok := at[root]; !ok {
			at[root], out = len(out), append(out, nil)
		}
		out[at[root]] = append(out[at[root]], i)
	}
	return out
}

func (f *facts) openPlaces(list []int, d int) (out []bool) {
	for _, i := range list {
		out = append(out, len(f.places[i].starts[d]) > 0)
	}
	return out
}

// rooms lists the stations of a ground on a day, then the zones that several of
// its stations share.
func (f *facts) rooms(list []int, d int) (out []room) {
	add := func(turnaround bool, in func(station int) bool) {
		if r, ok := f.room(list, d, turnaround, in); ok {
			out = append(out, r)
		}
	}
	var zones []string
	for s := range f.p.Stations {
		if slices.ContainsFunc(list, func(i int) bool { return f.places[i].station == s }) {
			add(true, func(station int) bool { return station == s })
			zones = append(zones, f.p.Stations[s].Zones...)
		}
	}
	slices.Sort(zones)
	for i, z := range zones {
		if i > 0 && zones[i-1] == z && (i == 1 || zones[i-2] != z) {
			add(false, func(station int) bool { return slices.Contains(f.p.Stations[station].Zones, z) })
		}
	}
	return out
}

// room works out a station's or zone's size and steps on a day, and whether
// anything can be there.
func (f *facts) room(list []int, d int, turnaround bool, in func(station int) bool) (r room, ok bool) {
	r.step = make([]civil.Minutes, len(list))
	setup := civil.Minutes(1 << 40)
	var runs []civil.Period
	for _, i := range list {
		if at := &f.places[i]; in(at.station) && len(at.starts[d]) > 0 {
			e := &f.exercises[at.exercise]
			setup = min(setup, e.Setup)
			for _, s := range at.starts[d] {
				runs = append(runs, civil.Period{Start: s, End: s.Add(e.Minutes)})
			}
		}
	}
	if len(runs) == 0 {
		return r, false
	}
	var slack civil.Minutes
	for k, i := range list {
		at := &f.places[i]
		if !in(at.station) || len(at.starts[d]) == 0 {
			continue
		}
		e := &f.exercises[at.exercise]
		step := e.Minutes + e.Strike + setup
		if turnaround {
			step += f.p.Stations[at.station].Turnaround
		}
		r.step[k] = ceilDiv64(step, f.grid) * f.grid
		slack = max(slack, r.step[k]-e.Minutes)
	}
	for _, run := range joined(runs) {
		r.size += run.Length() + slack
	}
	return r, true
}

// joined merges periods that touch or overlap.
func joined(list []civil.Period) (out []civil.Period) {
	slices.SortFunc(list, func(a, b civil.Period) int { return cmp.Compare(a.Start, b.Start) })
	for _, p := range list {
		if n := len(out); n > 0 && p.Start <= out[n-1].End {
			out[n-1].End = max(out[n-1].End, p.End)
			continue
		}
		out = append(out, p)
	}
	return out
}

// mostOn is how many sessions of each place a day can hold; many says that some
// room takes more of one than can be listed.
func (f *facts) mostOn(list []int, d int, rooms []room) (most []int, many bool) {
	most = make([]int, len(list))
	for k, i := range list {
		if len(f.places[i].starts[d]) > 0 {
			most[k] = f.mostSessions(f.places[i].exercise)
		}
	}
	for i := range rooms {
		for k, step := range rooms[i].step {
			many = many || step > 0 && most[k] > 200 && rooms[i].size/step > 200
		}
	}
	return most, many
}

// fill lists the fullest counts that keep within all rooms.
func (f *facts) fill(list []int, d int, rooms []room) *fullDays {
	v := &fullDays{}
	left := make([]civil.Minutes, len(rooms))
	for i := range rooms {
		left[i] = rooms[i].size
	}
	fits := func(k int) bool {
		for i := range rooms {
			if rooms[i].step[k] > left[i] {
				return false
			}
		}
		return true
	}
	most, many := f.mostOn(list, d, rooms)
	if many {
		v.apart = f.berths(list, rooms)
		return v
	}
	counts, work := make([]uint8, len(list)), 0
	var add func(k int)
	add = func(k int) {
		if work++; work > 40*mostFullDays || len(v.full) > mostFullDays {
			return
		}
		if k == len(list) {
			for j := range list {
				if int(counts[j]) < most[j] && fits(j) {
					return
				}
			}
			v.full = append(v.full, slices.Clone(counts))
			return
		}
		n := 0
		for ; ; n++ {
			counts[k] = uint8(n)
			add(k + 1)
			if n == most[k] || !fits(k) {
				break
			}
			for i := range rooms {
				left[i] -= rooms[i].step[k]
			}
		}
		for i := range rooms {
			left[i] += civil.Minutes(n) * rooms[i].step[k]
		}
		counts[k] = 0
	}
	add(0)
	if work > 40*mostFullDays || len(v.full) > mostFullDays {
		v.full, v.apart = nil, f.berths(list, rooms)
		return v
	}
	v.layTops(len(list))
	return v
}

// layTops finds the most sessions of each place among the counts.
func (v *fullDays) layTops(places int) {
	v.tops = make([]uint8, places)
	for _, full := range v.full {
		for k, n := range full {
			v.tops[k] = max(v.tops[k], n)
		}
	}
}

// mostSessions is how many sessions of an exercise can have trainees in them.
func (f *facts) mostSessions(e int) int {
	if f.own { // others may fill up a session
		return f.exercises[e].needs
	}
	return f.exercises[e].needs / max(1, f.exercises[e].GroupMin)
}

// berths leaves the zones out: each station is a knapsack of its own.
func (f *facts) berths(list []int, rooms []room) (out []berth) {
	for i := range rooms {
		b := berth{size: int64(rooms[i].size)}
		for k, step := range rooms[i].step {
			if step > 0 {
				b.places, b.step = append(b.places, k), append(b.step, int64(step))
			}
		}
		if slices.ContainsFunc(out, func(o berth) bool {
			return slices.ContainsFunc(b.places, func(k int) bool { return slices.Contains(o.places, k) })
		}) {
			continue // a zone: its stations stand already
		}
		out = append(out, b)
	}
	return out
}
