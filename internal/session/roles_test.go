package session

import (
	"slices"
	"testing"

	"rungbook/internal/id"
	"rungbook/internal/rig"
)

func TestNobodyTakesTwoRolesUnlessThePlanLetsThem(t *testing.T) {
	plan := rig.RescuePlan{Procedure: &rig.Procedure{Roles: []rig.PlanRole{{Name: "leader", Competent: true, Count: 1}, {Name: "helper", Count: 2}, {Name: "caller", Count: 1, Beside: true}}}}
	take := func(pairs ...string) (out []RoleTaken) {
		for i := 0; i < len(pairs); i += 2 {
			out = append(out, RoleTaken{RescueRole(pairs[i]), id.Person(pairs[i+1])})
		}
		return out
	}
	here := []id.Person{"a", "b", "c"}
	for _, c := range []struct {
		name    string
		plan    rig.RescuePlan
		taken   []RoleTaken
		left    []RescueRole
		doubled []RescueRole
	}{
		{"each role taken, the caller beside another", plan, take("role-1", "a", "role-2", "b", "role-2", "c", "role-3", "a"), nil, nil},
		{"one short of the helpers", plan, take("role-1", "a", "role-2", "b", "role-3", "a"), []RescueRole{"role-2"}, nil},
		{"a helper twice is one helper", plan, take("role-1", "a", "role-2", "b", "role-2", "b", "role-3", "a"), []RescueRole{"role-2"}, []RescueRole{"role-2"}},
		{"the leader helps too", plan, take("role-1", "a", "role-2", "a", "role-2", "b", "role-3", "c"), nil, []RescueRole{"role-2"}},
		{"one who is not here", plan, take("role-1", "z", "role-2", "b", "role-2", "c", "role-3", "a"), []RescueRole{"role-1"}, nil},
		{"nothing taken", plan, nil, []RescueRole{"role-1", "role-2", "role-3"}, nil},
		{"roles of another version", plan, take("leads", "a", "reaches", "b", "kit", "c", "calls", "c"), []RescueRole{"role-1", "role-2", "role-3"}, nil},
		{"a plan without roles lets one take several", rig.RescuePlan{}, take("leads", "a", "reaches", "b", "kit", "b", "calls", "b"), nil, nil},
		{"and asks for each of them", rig.RescuePlan{}, take("leads", "a", "reaches", "b", "kit", "b"), []RescueRole{RoleCalls}, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			asked := AskedRoles(c.plan)
			if got := (Brief{Roles: c.taken}).Left(asked, here); !slices.Equal(got, c.left) {
				t.Errorf("left %v, want %v", got, c.left)
			}
			if got := Doubled(asked, c.taken); !slices.Equal(got, c.doubled) {
				t.Errorf("doubled %v, want %v", got, c.doubled)
			}
		})
	}
}
