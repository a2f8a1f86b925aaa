package store

import (
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/people"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// slowKinds are read as a whole through Reference.
func slowKinds() []*kind { return slices.Concat(yardKinds(), rigKinds(), taughtKinds(), staffKinds()) }

func slow[T any](name string, id func(T) string, texts func(T) []id.Commitment, refers func(T) []string) *kind {
	return kindOf(name, traits[T]{table: "reference", slow: true, id: id, texts: texts, refers: refers})
}

type texts = []id.Commitment

func yardKinds() []*kind {
	return []*kind{
		slow("yard", func(y rig.Yard) string { return string(y.ID) },
			func(y rig.Yard) texts {
				out := texts{y.Name}
				for _, d := range y.ClosedDays {
					out = append(out, d.Reason)
				}
				return out
			}, nil),
		slow("rule-book", func(v rulebook.Version) string { return string(v.ID) }, nil,
			func(v rulebook.Version) (out []string) {
				for _, c := range v.Confirmations {
					out = append(out, string(c.Person))
				}
				return out
			}),
	}
}

func rigKinds() []*kind {
	return []*kind{
		slow("rig", func(r rig.Rig) string { return string(r.ID) },
			func(r rig.Rig) texts { return texts{r.Name} },
			func(r rig.Rig) []string {
				out := ids(r.Drawing.OnRig)
				for _, g := range r.Drawing.Ground {
					out = append(out, string(g.Zone))
				}
				return out
			}),
		slow("zone", func(z rig.Zone) string { return string(z.ID) },
			func(z rig.Zone) texts { return texts{z.Name} }, nil),
		slow("circuit", func(c rig.Circuit) string { return string(c.ID) },
			func(c rig.Circuit) texts { return texts{c.Name} }, nil),
		slow("kit", func(k rig.Kit) string { return string(k.ID) },
			func(k rig.Kit) texts { return texts{k.Name} }, nil),
		slow("item", func(i rig.Item) string { return string(i.ID) },
			func(i rig.Item) texts { return texts{i.Serial, i.Says, i.Why} },
			func(i rig.Item) []string { return []string{string(i.Kit), string(i.Replaces)} }),
		slow("quarantine", func(q rig.Quarantine) string { return string(q.ID) },
			func(q rig.Quarantine) texts {
				if q.Lift == nil {
					return texts{q.Why}
				}
				return texts{q.Why, q.Lift.Why}
			},
			func(q rig.Quarantine) []string {
				out := []string{q.Subject, string(q.By), string(q.Incident)}
				if q.Lift != nil {
					out = append(out, string(q.Lift.By), string(q.Lift.Inspection))
				}
				return out
			}),
		slow("station", func(s rig.Station) string { return string(s.ID) },
			func(s rig.Station) texts { return texts{s.Name} },
			func(s rig.Station) []string {
				out := append(ids(s.Rig), ids(s.Zones...)...)
				if s.Rescue != nil {
					out = append(out, string(s.Rescue.Kit))
				}
				return out
			}),
		slow("shut", func(s rig.Shut) string { return string(s.ID) },
			func(s rig.Shut) texts { return texts{s.Note} },
			func(s rig.Shut) []string { return ids(s.Station) }),
		slow("inspection", func(i rig.Inspection) string { return string(i.ID) },
			func(i rig.Inspection) texts { return texts{i.Note} },
			func(i rig.Inspection) []string { return []string{i.Subject, string(i.By)} }),
		slow("rescue-plan", func(p rig.RescuePlan) string { return string(p.ID) },
			func(p rig.RescuePlan) texts { return append(texts{p.Name, p.Text}, procedureTexts(p.Procedure)...) },
			func(p rig.RescuePlan) []string {
				return append(append(ids(p.Stations...), ids(p.Author, p.ApprovedBy, p.TakenOver)...), procedureKits(p.Procedure)...)
			}),
		slow("drill", func(d rig.Drill) string { return string(d.ID) },
			func(d rig.Drill) texts { return texts{d.Found} },
			func(d rig.Drill) []string { return append(ids(d.Plan), ids(d.People...)...) }),
		evidenceKind(),
	}
}

func taughtKinds() []*kind {
	return []*kind{
		slow("outcome", func(o curriculum.Outcome) string { return string(o.ID) },
			func(o curriculum.Outcome) texts { return texts{o.Name} }, nil),
		slow("exercise", func(e curriculum.Exercise) string { return string(e.ID) },
			func(e curriculum.Exercise) texts { return texts{e.Name} }, exerciseRefers),
		slow("programme", func(p curriculum.Programme) string { return string(p.ID) },
			func(p curriculum.Programme) texts {
				out := texts{p.Name}
				for _, u := range p.Units {
					out = append(out, u.Name)
				}
				return out
			},
			func(p curriculum.Programme) []string {
				out := ids(p.Exercises...)
				for _, u := range p.Units {
					out = append(out, ids(u.Outcomes...)...)
				}
				return out
			}),
	}
}

func exerciseRefers(e curriculum.Exercise) []string {
	out := append(ids(e.Stations...), ids(e.Outcomes...)...)
	for _, r := range e.RatioAt {
		out = append(out, string(r.Station))
	}
	for _, a := range e.After {
		out = append(out, string(a.Exercise))
	}
	for _, u := range e.Uses {
		out = append(out, string(u.Kit))
	}
	for _, n := range e.Energy {
		out = append(out, string(n.Circuit))
	}
	return out
}

func staffKinds() []*kind {
	staff := slow("staff", func(s people.Staff) string { return string(s.ID) }, nil, nil)
	staff.facet = true
	return []*kind{
		slow("employer", func(e people.Employer) string { return string(e.ID) },
			func(e people.Employer) texts { return texts{e.Name} }, nil),
		staff,
		slow("intake", func(i people.Intake) string { return string(i.ID) },
			func(i people.Intake) texts { return texts{i.Name} },
			func(i people.Intake) []string { return append(ids(i.Employer), string(i.Programme)) }),
		slow("appointment", func(a people.Appointment) string { return string(a.ID) }, nil,
			func(a people.Appointment) []string { return ids(a.Person) }),
		slow("account", func(a access.Account) string { return string(a.ID) }, nil,
			func(a access.Account) []string { return ids(a.Person) }),
	}
}
