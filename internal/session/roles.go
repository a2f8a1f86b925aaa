package session

import (
	"fmt"
	"slices"

	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// AskedRole is a role that a rescue brief asks somebody to take.
type AskedRole struct {
	Role       RescueRole
	Name, Does id.Commitment // of the plan; "" where it has no roles of its own
	Competent  bool          // only the rescue-competent take it
	Count      int
	Beside     bool // who takes it may take another one too
}

// AskedRoles are the roles that a version of a rescue plan asks for. One that records
// none asks for those that every rescue needs; there one may take several.
func AskedRoles(p rig.RescuePlan) (out []AskedRole) {
	if p.Procedure == nil || len(p.Procedure.Roles) == 0 {
		for _, r := range RescueRoles() {
			out = append(out, AskedRole{Role: r, Competent: r.Competent(), Count: 1, Beside: true})
		}
		return out
	}
	for i, r := range p.Procedure.Roles {
		out = append(out, AskedRole{RescueRole(fmt.Sprintf("role-%d", i+1)), r.Name, r.Does, r.Competent, max(1, r.Count), r.Beside})
	}
	return out
}

// Doubled returns the roles that somebody takes who already has another one, where
// neither lets them: of two such roles the later one.
func Doubled(asked []AskedRole, taken []RoleTaken) (out []RescueRole) {
	alone := map[id.Person]bool{}
	for _, a := range asked {
		if a.Beside {
			continue
		}
		for _, t := range taken {
			if t.Role != a.Role {
				continue
			}
			if alone[t.Person] && !slices.Contains(out, a.Role) {
				out = append(out, a.Role)
			}
			alone[t.Person] = true
		}
	}
	return out
}
