package rulebook

import (
	"slices"
	"strings"
	"sync"

	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// Profile is a set of example limits that a centre may select. It is a place to
// start from: the centre confirms each line for its own jurisdiction.
type Profile struct {
	ID    id.Profile
	Title string
	Note  string // what a reader should know before selecting it; "" when nothing
	Lines []Line
}

// The profiles that ship.
const (
	EUAdult          id.Profile = "eu-adult"
	EUYoung          id.Profile = "eu-young"
	UKAdultA         id.Profile = "uk-adult-a"
	UKAdultB         id.Profile = "uk-adult-b"
	UKAdultC         id.Profile = "uk-adult-c"
	UKYoung          id.Profile = "uk-young"
	ZAAdult          id.Profile = "za-adult"
	TrainingStandard id.Profile = "training-standard"
	RopeAccess       id.Profile = "rope-access"
	FirstAidGB       id.Profile = "first-aid-gb"
	CPRCard          id.Profile = "cpr-card"
	Upkeep           id.Profile = "upkeep"
	Site             id.Profile = "site"
)

// example is a Line without its profile: one row of a profile's table. Its name
// is the line's id without the profile; a name with a dot is the whole id, for
// lines that records point at ("inspection.ladder").
type example struct {
	name     string
	quantity Quantity
	value    int64
	field    verdict.Field
	source   Source
}

func (e example) line(p id.Profile) Line {
	lineID := e.name
	if !strings.Contains(e.name, ".") {
		lineID = string(p) + "." + e.name
	}
	return Line{ID: lineID, Profile: p, Quantity: e.quantity, Value: e.value, Field: e.field, Source: e.source}
}

func profile(p id.Profile, title, note string, rows ...[]example) Profile {
	out := Profile{ID: p, Title: title, Note: note}
	for _, part := range rows {
		for _, e := range part {
			out.Lines = append(out.Lines, e.line(p))
		}
	}
	return out
}

// shipped is built at the first use and then only read.
var shipped = sync.OnceValue(func() []Profile {
	return []Profile{
		profile(EUAdult, "European Union, adults", "Member states may be stricter.", euAdult()),
		profile(EUYoung, "European Union, under 18", "Member states may be stricter.", euYoung()),
		profile(UKAdultA, "United Kingdom, adults, weekly rest each week", "", ukAdult(), ukWeekly(7, 24*h, 1, "reg 11(1)")),
		profile(UKAdultB, "United Kingdom, adults, one weekly rest of 48 h in two weeks", "", ukAdult(), ukWeekly(14, 48*h, 1, "reg 11(2)(b)")),
		profile(UKAdultC, "United Kingdom, adults, two weekly rests in two weeks", "", ukAdult(), ukWeekly(14, 24*h, 2, "reg 11(2)(a)")),
		profile(UKYoung, "United Kingdom, under 18", "No averaging and no opt-out.", ukYoung()),
		profile(ZAAdult, "South Africa", "For people below the yearly earnings threshold.", zaAdult()),
		profile(TrainingStandard, "Training standard", "Ratios, day limits and validity of the industry's training standard.", trainingDay(), trainingRecords(), trainingValidity()),
		profile(RopeAccess, "Rope access", "Levels with logged hours.", ropeAccess()),
		profile(FirstAidGB, "First aid at work, Great Britain", "", firstAidGB()),
		profile(CPRCard, "Resuscitation card, to the month's end", "", cprCard()),
		profile(Upkeep, "Inspection intervals", "Pick the lines that fit each asset; the earliest clock wins.", upkeepHeight(), upkeepOther()),
		profile(Site, "Site", "Proposed by Rungbook; the centre sets its own.", siteWork(), siteCover(), siteValidity(), siteWeather(), siteOffice()),
	}
})

// Profiles returns every profile that ships, in the order pages show them. The
// caller may change what it gets.
func Profiles() []Profile {
	out := slices.Clone(shipped())
	for i := range out {
		out[i].Lines = slices.Clone(out[i].Lines)
	}
	return out
}

// Examples returns the lines of one profile, nil for an unknown one. The caller
// may change them.
func Examples(p id.Profile) []Line {
	for _, one := range shipped() {
		if one.ID == p {
			return slices.Clone(one.Lines)
		}
	}
	return nil
}

// Title returns the plain name of a shipped profile, and the id of any other.
func Title(p id.Profile) string {
	for _, one := range shipped() {
		if one.ID == p {
			return one.Title
		}
	}
	return string(p)
}

// source shortens the rows of the tables.
func source(document, version, clause string, mark Mark) Source {
	return Source{Document: document, Version: version, Clause: clause, Mark: mark}
}

const h = 60 // minutes
