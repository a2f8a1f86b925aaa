package bound

import (
	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// person is a member of staff and what each day holds for them.
type person struct {
	*plan.Person
	days []*shift // by day; nil = can do nothing
}

// part is a way to stand in a session: as instructor of an exercise, or as
// further staff.
type part struct {
	exercise int
	teaches  bool
}

// shift is what a person may do on a day and how much of it.
type shift struct {
	parts []part
	kinds []int // by part: which of book.kinds it is
	book  *shiftBook
}

// kind is what a part asks of a day; parts of one kind are as good as each other.
type kind struct{ minutes, height, span civil.Minutes }

// shiftBook lists the fullest days that limits allow, as counts of kinds.
type shiftBook struct {
	kinds []kind
	full  [][]uint8
	worth bool // full is complete; otherwise only minutes bound a day
	limits
}

// layPeople finds who may do what.
func (f *facts) layPeople() {
	index := make(map[string]int)
	for i := range f.p.Exercises {
		index[f.p.Exercises[i].ID] = i
		e := &f.exercises[i]
		e.teacher, e.aids = make([]bool, len(f.p.People)), make([]bool, len(f.p.People))
	}
	for i := range f.p.People {
		v := &f.p.People[i]
		f.people = append(f.people, person{Person: v})
		for n := range f.exercises {
			f.exercises[n].aids[i] = len(v.Rescuer) > 0
		}
		for _, t := range v.Teaches {
			f.exercises[index[t.Exercise]].teacher[i], f.exercises[index[t.Exercise]].aids[i] = true, true
		}
	}
}
