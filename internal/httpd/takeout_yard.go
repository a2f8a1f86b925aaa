package httpd

import (
	"cmp"
	"slices"
	"strings"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/drafting"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/records"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/web"
)

func yardLists() []takenList {
	return []takenList{
		{name: "rigs", title: "Rigs", action: access.SeeStation, says: "A rig with kind, state and measures", write: rigList},
		{name: "stations", title: "Stations", action: access.SeeStation, says: "A station with its limits, and whether it may be used now", write: stationList},
		{name: "zones", title: "Zones", action: access.SeeStation, says: "A zone and the stations that share it", write: zoneList},
		{name: "circuits", title: "Circuits", action: access.SeeStation, says: "A circuit and its changeover", write: circuitList},
		{name: "isolations", title: "State of the circuits", action: access.SeeCircuits, says: "A circuit, its recorded state and whose locks are on", write: isolationList},
		{name: "authorities", title: "Who may be in charge of circuits", action: access.SeeCircuits, says: "Who may be in charge of a circuit, and from when to when", write: authorityList},
		{name: "kits", title: "Kits", action: access.SeeStation, says: "A kit, how many there are, its last valid day", write: kitList},
		{name: "kit-states", title: "Kits and items by state", action: access.SeeStation, says: "A kit or an item with its state, what is due next, and who holds it", asks: []string{"q", "state"}, write: kitStateList},
		{name: "items", title: "Items of kits", action: access.SeeStation, says: "An item by its serial, its last day, and whether it may be used now", asks: []string{"kit"}, write: itemList},
		{name: "quarantines", title: "Quarantines", action: access.SeeStation, says: "A thing that was or is in quarantine", write: quarantineTaken},
		{name: "due", title: "What is due", action: access.SeeYard, says: "An inspection, kit, review or drill that is due soon", write: dueList},
		{name: "inspections", title: "Inspections", action: access.SeeStation, says: "An inspection that was done", asks: []string{"subject"}, write: inspectionList},
		{name: "shuts", title: "Stations shut", action: access.SeeStation, says: "A time in which a station was or is shut", write: shutList},
		{name: "losses", title: "What the yard does without", action: access.RecordLoss, says: "A loss that stands: a station shut, a person away or not at height", write: lossList},
		{name: "rescue-plans", title: "Rescue plans", action: access.SeeStation, says: "A version of a rescue plan", write: rescuePlanList},
		{name: "written-plans", title: "Written rescue plans", action: access.SeeStation, says: "A version of a rescue plan as its author wrote it, and what became of it", write: writtenPlanList},
		{name: "drills", title: "Drills", action: access.SeeStation, says: "A drill of a rescue plan", write: drillList},
		{name: "dossiers", title: "Conversion dossiers", action: access.SeeStation, says: "A point that a rig's dossier asks for, and how it stands", write: dossierList},
		{name: "readings", title: "Weather readings", action: access.SeeYard, says: "A weather reading, thunder or a forecast", asks: []string{"from", "until"}, write: readingList},
		{name: "yard", title: "Opening hours and closed days", action: access.SeeStation, says: "Opening hours of weekdays, or a closed day", write: hoursList},
	}
}

// plain writes a list that is read from the reference records alone.
func (v *visit) plain(t *taking, heads []string, write func(*records.Lists) error) error {
	return v.fromRecords(t, func(l *records.Lists) error {
		if err := t.begin(v, t.list.title+" "+v.today.String(), filters()...); err != nil {
			return err
		}
		if err := t.heads(heads...); err != nil {
			return err
		}
		return write(l)
	})
}

// each writes a row for each of some records.
func each[T any](t *taking, list []T, row func(T) []any) error {
	for _, x := range list {
		if err := t.out.Row(row(x)...); err != nil {
			return err
		}
	}
	return nil
}

// lines names rule-book lines by what they are about.
func lines(list []string) string {
	var out []string
	for _, l := range list {
		out = append(out, rulebook.Line{ID: l}.Subject())
	}
	return strings.Join(out, ", ")
}

func rigList(v *visit, t *taking) error {
	return v.plain(t, []string{"Rig", "Kind", "State", "People at once", "Height in dm", "Width in dm", "Inspections"}, func(*records.Lists) error {
		return each(t, v.ref.Rigs.All(v.today), func(r rig.Rig) []any {
			return []any{v.ref.Text(r.Name), spaced(r.Kind), rigState(r.State), r.PeopleMax, r.Drawing.Height, r.Drawing.Width, lines(r.Inspections)}
		})
	})
}

// stationList tells of each station why it can't be used now, as the yard's page does.
func stationList(v *visit, t *taking) error {
	now, err := v.Yard.Today(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.standAt(now.Head, now.Ref)
	if err := t.begin(v, "Stations "+v.today.String(), filters()...); err != nil {
		return err
	}
	if err := t.heads("Rig", "Station", "Now", "Places", "At height", "Daylight only", "Turnaround minutes", "Staff at least", "First aiders at least", "Rescuers", "Standby at least", "Rescue kit", "Zones", "Inspections", "Retired from"); err != nil {
		return err
	}
	unusable := map[id.Station]string{}
	for _, r := range now.Rigs {
		for _, st := range r.Stations {
			unusable[st.Station.ID] = "may be used"
			if st.Shut != nil {
				unusable[st.Station.ID] = v.say(st.Shut)
			}
		}
	}
	for _, st := range v.ref.Stations.All(v.today) {
		aiders, rescuers, standby, kit := "not stated", "not stated", "not stated", ""
		if st.FirstAiders != nil {
			aiders = web.Number(int64(*st.FirstAiders))
		}
		if st.Rescue != nil {
			k, _ := v.ref.Kits.On(st.Rescue.Kit, v.today)
			rescuers, standby, kit = web.Number(int64(st.Rescue.Rescuers)), web.Number(int64(st.Rescue.StandbyMin)), v.ref.Text(k.Name)
		} else if !st.Height {
			rescuers, standby = "", ""
		}
		if err := t.out.Row(v.rigName(st.Rig), v.ref.Text(st.Name), cmp.Or(unusable[st.ID], "not in use"), st.Places, yes(st.Height), yes(st.NeedsDaylight), int64(st.Turnaround),
			st.StaffMin, aiders, rescuers, standby, kit, v.zoneNames(st.Zones), lines(st.Inspections), st.Retired); err != nil {
			return err
		}
	}
	return nil
}

func (v *visit) zoneNames(list []id.Zone) string {
	var out []string
	for _, z := range list {
		rec, _ := v.ref.Zones.On(z, v.today)
		out = append(out, v.ref.Text(rec.Name))
	}
	return strings.Join(out, ", ")
}

func (v *visit) stationNames(list []id.Station) string {
	var out []string
	for _, st := range list {
		out = append(out, v.stationName(st))
	}
	return strings.Join(out, ", ")
}

func zoneList(v *visit, t *taking) error {
	return v.plain(t, []string{"Zone", "Stations", "Retired from"}, func(*records.Lists) error {
		return each(t, v.ref.Zones.All(v.today), func(z rig.Zone) []any {
			var on []id.Station
			for _, st := range v.ref.Stations.All(v.today) {
				if slices.Contains(st.Zones, z.ID) {
					on = append(on, st.ID)
				}
			}
			return []any{v.ref.Text(z.Name), v.stationNames(on), z.Retired}
		})
	})
}

func circuitList(v *visit, t *taking) error {
	return v.plain(t, []string{"Circuit", "Changeover minutes", "Retired from"}, func(*records.Lists) error {
		return each(t, v.ref.Circuits.All(v.today), func(c rig.Circuit) []any {
			return []any{v.ref.Text(c.Name), int64(c.Changeover), c.Retired}
		})
	})
}

func kitList(v *visit, t *taking) error {
	return v.plain(t, []string{"Kit", "Count", "Last valid day", "Inspections", "Retired from"}, func(*records.Lists) error {
		return each(t, v.ref.Kits.All(v.today), func(k rig.Kit) []any {
			return []any{v.ref.Text(k.Name), k.Count, k.LastValid, lines(k.Inspections), k.Retired}
		})
	})
}

// dueList is what runs out within its notice, as the yard's page tells it.
func dueList(v *visit, t *taking) error {
	now, err := v.Yard.Today(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	v.standAt(now.Head, now.Ref)
	if err := t.begin(v, "What is due "+v.today.String(), filters()...); err != nil {
		return err
	}
	if err := t.heads("What", "Last day", "Kind", "Days of notice"); err != nil {
		return err
	}
	return each(t, now.Due, func(d rig.Due) []any {
		return []any{capital(v.say(d.Say())), d.Last, spaced(d.Kind), d.Notice}
	})
}

// inspected names what an inspection was of: a rig, a station, a kit or an item.
func (v *visit) inspected(of string) (kind, name string) {
	if r, ok := v.ref.Rigs.On(id.Rig(of), civil.LastDay); ok {
		return "rig", v.ref.Text(r.Name)
	}
	if st, ok := v.ref.Stations.On(id.Station(of), civil.LastDay); ok {
		return "station", v.ref.Text(st.Name)
	}
	if _, ok := v.ref.Items.On(id.Item(of), civil.LastDay); ok {
		return "item", planning.ItemName(v.ref, id.Item(of), civil.LastDay)
	}
	k, _ := v.ref.Kits.On(id.Kit(of), civil.LastDay)
	return "kit", orID(v.ref.Text(k.Name), of)
}

func inspectionList(v *visit, t *taking) error {
	of := v.r.URL.Query().Get("subject")
	return v.fromRecords(t, func(l *records.Lists) error {
		named := ""
		if of != "" {
			_, named = v.inspected(of)
		}
		if err := t.begin(v, "Inspections "+v.today.String(), filters("Of", named)...); err != nil {
			return err
		}
		if err := t.heads("Done", "Of", "Name", "Inspection", "Result", "By", "Note"); err != nil {
			return err
		}
		var list []rig.Inspection
		var by []id.Person
		for _, k := range v.ref.Inspections.Keys() {
			if x, ok := v.ref.Inspections.On(k, civil.LastDay); ok && (of == "" || x.Subject == of) {
				list, by = append(list, x), append(by, x.By)
			}
		}
		slices.SortStableFunc(list, func(a, b rig.Inspection) int { return cmp.Or(cmp.Compare(a.Done, b.Done), cmp.Compare(a.At, b.At)) })
		names, err := l.Names(by...)
		if err != nil {
			return err
		}
		return each(t, list, func(x rig.Inspection) []any {
			kind, name := v.inspected(x.Subject)
			return []any{x.Done, kind, name, rulebook.Line{ID: x.Line}.Subject(), passed(x.Passed), names[x.By], v.ref.Text(x.Note)}
		})
	})
}

func shutList(v *visit, t *taking) error {
	return v.plain(t, []string{"Rig", "Station", "From", "To", "Reason", "Note"}, func(*records.Lists) error {
		list := v.ref.Shuts.All(civil.LastDay)
		slices.SortStableFunc(list, func(a, b rig.Shut) int { return cmp.Compare(a.Start, b.Start) })
		return each(t, list, func(x rig.Shut) []any {
			st, _ := v.ref.Stations.On(x.Station, civil.LastDay)
			return []any{v.rigName(st.Rig), v.ref.Text(st.Name), v.at(x.Start), v.at(x.End), spaced(x.Reason), v.ref.Text(x.Note)}
		})
	})
}

// lossList is what the page of mending lists: losses that are not over. Why a person is
// away is not recorded.
func lossList(v *visit, t *taking) error {
	list, err := v.Drafts.Losses(v.r.Context(), v.actor)
	if err != nil {
		return err
	}
	return v.plain(t, []string{"Loss", "Rig", "Of", "From", "To", "First day", "Last day", "Reason"}, func(*records.Lists) error {
		return each(t, list, func(l drafting.Loss) []any {
			row := []any{lossWords[l.Kind], "", l.Name, v.at(l.Start), v.at(l.End), l.From, l.Until, spaced(l.Reason)}
			if len(l.Stations) > 0 {
				st, _ := v.ref.Stations.On(l.Stations[0], v.today)
				row[1] = v.rigName(st.Rig)
			}
			return row
		})
	})
}

var lossWords = map[drafting.LossKind]string{drafting.StationShut: "station shut", drafting.WeatherDays: "station shut", drafting.PersonAway: "person away", drafting.NoHeight: "not at height"}

func rescuePlanList(v *visit, t *taking) error {
	return v.plain(t, []string{"Rescue plan", "Version", "Stations", "Written by", "Approved by", "In force from", "Review by", "Withdrawn from", "Minutes to reach a casualty", "Minutes to a safe place", "Steps", "Roles", "Text"}, func(*records.Lists) error {
		for _, k := range v.ref.RescuePlans.Keys() {
			for _, d := range v.ref.RescuePlans.Versions(k) {
				p := d.Value
				if err := t.out.Row(v.ref.Text(p.Name), p.Version, v.stationNames(p.Stations), v.ref.StaffName(p.Author), v.ref.StaffName(p.ApprovedBy),
					p.InForce, p.ReviewBy, p.Withdrawn, int64(p.Target), int64(procedureOf(p).SafeWithin), len(procedureOf(p).Steps), len(procedureOf(p).Roles), v.ref.Text(p.Text)); err != nil {
					return err
				}
			}
		}
		return nil
	})
}

func drillList(v *visit, t *taking) error {
	return v.plain(t, []string{"Day", "Rescue plan", "Version", "Minutes to a safe place", "Accepted", "People", "Found"}, func(*records.Lists) error {
		list := v.ref.Drills.All(civil.LastDay)
		slices.SortStableFunc(list, func(a, b rig.Drill) int { return cmp.Compare(a.Day, b.Day) })
		return each(t, list, func(d rig.Drill) []any {
			p, _ := v.ref.RescuePlans.On(d.Plan, civil.LastDay)
			return []any{d.Day, v.ref.Text(p.Name), d.Version, int64(d.Minutes), yes(d.Accepted), v.staffNames(d.People), v.ref.Text(d.Found)}
		})
	})
}

func hoursList(v *visit, t *taking) error {
	return v.plain(t, []string{"What", "Weekday", "From", "To", "Day", "Reason"}, func(*records.Lists) error {
		yard, _ := v.ref.YardOn(v.today)
		for _, w := range yard.Open {
			for _, day := range w.Weekdays {
				if err := t.out.Row("open", web.Weekday(v.today.Monday()+civil.Day(day-1)), civil.ClockString(w.From), civil.ClockString(w.To), civil.Day(0), ""); err != nil {
					return err
				}
			}
		}
		return each(t, yard.ClosedDays, func(d rig.ClosedDay) []any {
			return []any{"closed", web.Weekday(d.Day), "", "", d.Day, v.ref.Text(d.Reason)}
		})
	})
}

// staffNames lists people of the staff by name.
func (v *visit) staffNames(of []id.Person) string {
	var out []string
	for _, p := range of {
		out = append(out, v.ref.StaffName(p))
	}
	return strings.Join(out, ", ")
}
