package httpd

import (
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
)

// plainStyle prints a sentence that belongs to no judgement.
func (c *call) plainStyle() verdict.Style {
	out := verdict.PlainStyle(c.Zone)
	out.Ref = func(r verdict.Ref) string { return planning.Name(c.Ref, r, c.Today) }
	return out
}

type finding = verdict.Finding

type apiYard struct {
	APINamed
	Zone  string         `json:"zone"`
	Now   string         `json:"now"`
	Entry int64          `json:"entry" doc:"Last entry of the ledger"`
	Rigs  []apiRigStands `json:"rigs"`
}

type apiRigStands struct {
	APIRig
	Stations []apiStation `json:"stations"`
}

type APIRig struct {
	APINamed
	Kind      string `json:"kind"`
	State     string `json:"state"`
	PeopleMax int    `json:"people_max"`
	Out       string `json:"out" doc:"Why it is not in service; empty when it is"`
}

type apiStation struct {
	APINamed
	Rig    string `json:"rig"`
	Places int    `json:"places"`
	Height bool   `json:"height"`
	Out    string `json:"out" doc:"Why it can't be used now; empty when it can"`
	Until  string `json:"until,omitempty" doc:"When that ends, where it is known today"`
}

func apiYardNow(c *call, _ *Caller) (apiYard, error) {
	t, err := c.Journeys.Yard.Today(c.ctx, c.Actor)
	if err != nil {
		return apiYard{}, err
	}
	style := c.plainStyle()
	out := apiYard{APINamed: APINamed{string(t.Yard.ID), c.Visit.Yard}, Zone: c.Zone.Name(), Now: c.moment(t.Now), Entry: t.Head, Rigs: []apiRigStands{}}
	for _, r := range t.Rigs {
		one := apiRigStands{APIRig: APIRig{APINamed{string(r.Rig.ID), c.Ref.Text(r.Rig.Name)}, string(r.Rig.Kind), string(r.Rig.State), r.Rig.PeopleMax, r.Out.In(style)}, Stations: []apiStation{}}
		for _, st := range r.Stations {
			x := apiStation{APINamed: APINamed{string(st.Station.ID), c.Ref.Text(st.Station.Name)}, Rig: string(st.Station.Rig), Places: st.Station.Places, Height: st.Station.Height, Out: st.Shut.In(style)}
			if st.Shut != nil {
				x.Until = c.moment(st.Until)
			}
			one.Stations = append(one.Stations, x)
		}
		out.Rigs = append(out.Rigs, one)
	}
	return out, nil
}

type apiRigList struct {
	Rigs []APIRig `json:"rigs"`
}

func apiRigs(c *call, in *Caller) (apiRigList, error) {
	yard, err := apiYardNow(c, in)
	out := apiRigList{[]APIRig{}}
	for _, r := range yard.Rigs {
		out.Rigs = append(out.Rigs, r.APIRig)
	}
	return out, err
}

type apiStationList struct {
	Stations []apiStation `json:"stations"`
}

func apiStations(c *call, in *Caller) (apiStationList, error) {
	yard, err := apiYardNow(c, in)
	out := apiStationList{[]apiStation{}}
	for _, r := range yard.Rigs {
		out.Stations = append(out.Stations, r.Stations...)
	}
	return out, err
}

type apiExercise struct {
	APINamed
	Setting  string   `json:"setting"`
	Minutes  int64    `json:"minutes"`
	GroupMin int      `json:"group_min"`
	GroupMax int      `json:"group_max"`
	Ratio    int      `json:"ratio" doc:"The exercise's own; the rule book's may be smaller and then binds"`
	Stations []string `json:"stations"`
	Outcomes []string `json:"outcomes"`
	After    []string `json:"after" doc:"Exercises to be done before"`
}

type apiExerciseList struct {
	Exercises []apiExercise `json:"exercises"`
}

func apiExercises(c *call, _ *Caller) (apiExerciseList, error) {
	out := apiExerciseList{[]apiExercise{}}
	for _, e := range c.Ref.Exercises.All(c.Today) {
		if e.Retired != 0 && e.Retired <= c.Today {
			continue
		}
		x := apiExercise{APINamed: APINamed{string(e.ID), c.Ref.Text(e.Name)}, Setting: string(e.Setting), Minutes: int64(e.Minutes), GroupMin: e.GroupMin, GroupMax: e.GroupMax,
			Ratio: e.Ratio, Stations: texts(e.Stations), Outcomes: texts(e.Outcomes), After: []string{}}
		for _, a := range e.After {
			x.After = append(x.After, string(a.Exercise))
		}
		out.Exercises = append(out.Exercises, x)
	}
	return out, nil
}
