package store

import (
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/session"
)

func checkListKind() *kind {
	return kindOf("check-list", traits[rig.CheckList]{
		table: "check_list",
		id:    func(c rig.CheckList) string { return string(c.ID) },
		texts: func(c rig.CheckList) []id.Commitment { return c.Items },
	})
}

// CheckLists returns the check lists that count on the view's day, by kind.
func (v *View) CheckLists() (map[rig.CheckedKind]rig.CheckList, error) {
	all, err := list(v, scanBody[rig.CheckList], `SELECT r.body FROM check_list AS r WHERE `+v.at("r")+` ORDER BY r.entry`)
	out := make(map[rig.CheckedKind]rig.CheckList, len(all))
	for _, c := range all {
		out[c.For] = c
	}
	return out, err
}

func preparationKind() *kind {
	return kindOf("preparation", traits[session.Preparation]{
		table: "preparation", facet: true,
		id: func(p session.Preparation) string { return string(p.Session) },
		texts: func(p session.Preparation) []id.Commitment {
			var out texts
			if p.PreUse != nil {
				for _, c := range p.PreUse.Things {
					out = append(out, c.Note)
					for _, x := range c.Items {
						out = append(out, x.Item)
					}
				}
			}
			return out
		},
		refers: preparationRefers,
		check: func(p session.Preparation) error {
			for _, x := range p.Photos {
				if !isHash(x.Hash) {
					return fault.Field("hash", "A photo names no file.")
				}
			}
			return nil
		},
	})
}

func preparationRefers(p session.Preparation) (out []string) {
	if c := p.PreUse; c != nil {
		out = append(out, string(c.Done.By), string(c.Station))
		for _, x := range c.Things {
			out = append(out, x.Of)
		}
	}
	if b := p.Brief; b != nil {
		out = append(append(out, string(b.Done.By), string(b.Station), string(b.Plan)), ids(b.Heard...)...)
		for _, r := range b.Roles {
			out = append(out, string(r.Person))
		}
	}
	if s := p.Seen; s != nil {
		out = append(out, string(s.Done.By))
	}
	if w := p.WarmUp; w != nil {
		out = append(out, string(w.By))
	}
	if r := p.Recheck; r != nil {
		out = append(append(out, string(r.Done.By)), ids(r.Trainees...)...)
	}
	for _, x := range p.Photos {
		out = append(out, string(x.Done.By), x.Of)
	}
	if m := p.Mass; m != nil {
		out = append(append(append(out, string(m.Done.By)), m.Asked...), m.Within...)
	}
	return out
}

// Preparations returns what was done before sessions, of those of which anything was.
func (v *View) Preparations(of ...id.Session) ([]session.Preparation, error) {
	return rowsFor[session.Preparation](v, of, `preparation AS r ON r.id = want.value WHERE `+v.at("r")+` ORDER BY r.id`)
}

// Preparation returns what was done before one session; an empty one for nothing.
func (v *View) Preparation(of id.Session) (session.Preparation, error) {
	all, err := v.Preparations(of)
	if err != nil || len(all) == 0 {
		return session.Preparation{Session: of}, err
	}
	return all[0], nil
}

// PreparationHistory returns every revision of it known to the view.
func (v *View) PreparationHistory(of id.Session) ([]Revision[session.Preparation], error) {
	return revisions[session.Preparation](v, "preparation", string(of))
}
