package httpd

import (
	"cmp"
	"slices"

	"github.com/danielgtaylor/huma/v2"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/records"
	"rungbook/internal/rig"
)

// readGround are what stations share, when they were shut, and what was brought in
// from elsewhere.
func (s *server) readGround(api huma.API) {
	offer(s, api, operation{"GET", "/zones", access.SeeStation, "list-zones", "The zones, of which one station uses each at a time, with their stations."}, apiZones)
	offer(s, api, operation{"GET", "/circuits", access.SeeStation, "list-circuits", "The circuits, and how long a change of each takes."}, apiCircuits)
	offer(s, api, operation{"GET", "/shuts", access.SeeStation, "list-shuts", "The times in which stations were or are shut, by start."}, apiShuts)
	offer(s, api, operation{"GET", "/batches", access.SeeEntries, "list-batches", "The files that were brought in, the newest first."}, apiBatches)
}

type apiZone struct {
	APINamed
	Stations []string `json:"stations" doc:"That stand in it today"`
	Retired  string   `json:"retired,omitempty" doc:"First day without it"`
}

type apiZoneList struct {
	Zones []apiZone `json:"zones"`
	OfEntry
}

func apiZones(c *call, _ *Caller) (apiZoneList, error) {
	out := apiZoneList{Zones: []apiZone{}}
	return reference(c, access.SeeStation, &out.Entry, &out, func(*records.Lists) error {
		for _, z := range c.Ref.Zones.All(c.Today) {
			one := apiZone{APINamed{string(z.ID), c.Ref.Text(z.Name)}, []string{}, day(z.Retired)}
			for _, st := range c.Ref.Stations.All(c.Today) {
				if slices.Contains(st.Zones, z.ID) {
					one.Stations = append(one.Stations, string(st.ID))
				}
			}
			out.Zones = append(out.Zones, one)
		}
		return nil
	})
}

type apiCircuit struct {
	APINamed
	Changeover int64  `json:"changeover_minutes" doc:"From live to dead or back"`
	Retired    string `json:"retired,omitempty" doc:"First day without it"`
}

type apiCircuitList struct {
	Circuits []apiCircuit `json:"circuits"`
	OfEntry
}

func apiCircuits(c *call, _ *Caller) (apiCircuitList, error) {
	out := apiCircuitList{Circuits: []apiCircuit{}}
	return reference(c, access.SeeStation, &out.Entry, &out, func(*records.Lists) error {
		for _, x := range c.Ref.Circuits.All(c.Today) {
			out.Circuits = append(out.Circuits, apiCircuit{APINamed{string(x.ID), c.Ref.Text(x.Name)}, int64(x.Changeover), day(x.Retired)})
		}
		return nil
	})
}

type apiShutTime struct {
	ID      string `json:"id"`
	Station string `json:"station"`
	Start   string `json:"start"`
	End     string `json:"end,omitempty" doc:"Left out while nobody has opened it: it stays shut"`
	Reason  string `json:"reason"`
}

type apiShutTimeList struct {
	Shuts []apiShutTime `json:"shuts"`
	OfEntry
}

func apiShuts(c *call, _ *Caller) (apiShutTimeList, error) {
	out := apiShutTimeList{Shuts: []apiShutTime{}}
	return reference(c, access.SeeStation, &out.Entry, &out, func(*records.Lists) error {
		list := c.Ref.Shuts.All(civil.LastDay)
		slices.SortStableFunc(list, func(a, b rig.Shut) int { return cmp.Compare(a.Start, b.Start) })
		for _, x := range list {
			one := apiShutTime{ID: string(x.ID), Station: string(x.Station), Start: c.moment(x.Start), Reason: string(x.Reason)}
			if x.End != 0 {
				one.End = c.moment(x.End)
			}
			out.Shuts = append(out.Shuts, one)
		}
		return nil
	})
}

type apiBatch struct {
	ID       string `json:"id"`
	List     string `json:"list" enum:"people,certificates,qualifications,sessions,inspections,intakes"`
	At       string `json:"at" doc:"When it was brought in"`
	File     string `json:"file,omitempty" doc:"Its name; left out once erased"`
	Sum      string `json:"sha256" doc:"Of the file, in hex"`
	Rows     int    `json:"rows" doc:"Below the heads"`
	Taken    int    `json:"taken"`
	Cautions int    `json:"with_caution" doc:"Of those taken"`
	Refused  int    `json:"refused"`
	By       string `json:"by" doc:"Person who vouched"`
	Back     bool   `json:"taken_back" doc:"As a whole: its facts count no longer"`
}

type apiBatchList struct {
	Batches []apiBatch `json:"batches"`
	OfEntry
}

func apiBatches(c *call, _ *Caller) (apiBatchList, error) {
	out := apiBatchList{Batches: []apiBatch{}}
	return reference(c, access.SeeEntries, &out.Entry, &out, func(l *records.Lists) error {
		list, err := l.Batches()
		for _, b := range list {
			out.Batches = append(out.Batches, apiBatch{string(b.ID), string(b.List), c.moment(b.At), b.Name, b.File, b.Rows, b.Taken, b.Cautions, b.Refused, string(b.Batch.By), b.Back})
		}
		return err
	})
}
