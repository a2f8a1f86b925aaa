package planning

import (
	"strconv"
	"strings"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
	"rungbook/internal/store"
	"rungbook/internal/verdict"
)

// Reference is the snapshot of slowly changing records that pages take names from.
type Reference = store.Reference

// Name returns what people call the thing that a finding names. What has no
// name any more (an erased person) keeps its id.
func (s *Slice) Name(r verdict.Ref) string {
	if n := s.names[r]; n != "" {
		return n
	}
	if r.Kind == verdict.Session {
		if rec, ok := s.sessions[r.ID]; ok {
			return Name(s.ref, verdict.Ref{Kind: verdict.Exercise, ID: string(rec.Exercise)}, s.day)
		}
		return "this session"
	}
	return Name(s.ref, r, s.day)
}

// Name returns the name of a thing of the reference records on a day.
func Name(ref *store.Reference, r verdict.Ref, day civil.Day) string {
	var c id.Commitment
	switch r.Kind {
	case verdict.Person, verdict.Body:
		if n := ref.StaffName(id.Person(r.ID)); n != "" {
			return n
		}
	case verdict.Station:
		v, _ := ref.Stations.On(id.Station(r.ID), day)
		c = v.Name
	case verdict.Rig:
		v, _ := ref.Rigs.On(id.Rig(r.ID), day)
		c = v.Name
	case verdict.Zone:
		v, _ := ref.Zones.On(id.Zone(r.ID), day)
		c = v.Name
	case verdict.Circuit:
		v, _ := ref.Circuits.On(id.Circuit(r.ID), day)
		c = v.Name
	case verdict.Kit:
		v, _ := ref.Kits.On(id.Kit(r.ID), day)
		c = v.Name
	case verdict.Item:
		return ItemName(ref, id.Item(r.ID), day)
	case verdict.Exercise:
		v, _ := ref.Exercises.On(Stood(r.ID), day)
		c = v.Name
	case verdict.Course:
		v, _ := ref.Programmes.On(id.Programme(r.ID), day)
		c = v.Name
	case verdict.Intake:
		v, _ := ref.Intakes.On(id.Intake(r.ID), day)
		c = v.Name
	case verdict.RescuePlan:
		v, _ := ref.RescuePlans.On(id.RescuePlan(r.ID), day)
		c = v.Name
	case verdict.Policy:
		return rulebook.Title(id.Profile(r.ID))
	case verdict.Holding:
		return strings.ReplaceAll(r.ID, "-", " ")
	}
	if n := ref.Text(c); n != "" {
		return n
	}
	return r.ID
}

// standsSuffix marks the stand-in exercise of a session that stands though it
// breaks a rule.
const standsSuffix = ".stands"

// StandIn names the n-th stand-in of an exercise: one of which nothing is asked
// but room, means and people's time.
func StandIn(exercise string, n int) string { return exercise + standsSuffix + strconv.Itoa(n) }

// Stood returns the exercise that a name of a problem stands for.
func Stood(name string) id.Exercise {
	name, _, _ = strings.Cut(name, standsSuffix)
	name, _, _ = strings.Cut(name, trialSuffix)
	return id.Exercise(strings.TrimSuffix(name, pastSuffix))
}

var fieldNames = map[verdict.Field]string{
	verdict.HeightRescue: "height and rescue", verdict.Energy: "energy",
	verdict.Lifting: "lifting", verdict.Curriculum: "curriculum", verdict.Planning: "planning",
}

// FieldName returns a field of responsibility in words.
func FieldName(f verdict.Field) string { return fieldNames[f] }

func fieldWords(fields []verdict.Field) string {
	words := make([]string, len(fields))
	for i, f := range fields {
		words[i] = FieldName(f)
	}
	return strings.Join(words, ", ")
}

// ItemName is what people call an item: what it is and its serial.
func ItemName(ref *store.Reference, of id.Item, day civil.Day) string {
	i, ok := ref.Items.On(of, day)
	if !ok { // recorded later than the day asked of
		if versions := ref.Items.Versions(of); len(versions) > 0 {
			i = versions[0].Value
		}
	}
	serial := ref.Text(i.Serial)
	if serial == "" {
		return string(of)
	}
	if i.Sort == rig.OtherItem {
		return "item " + serial
	}
	return string(i.Sort) + " " + serial
}
