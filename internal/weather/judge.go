package weather

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/verdict"
)

// Rules by which weather is judged, as findings name them.
const (
	ReadingRule   = "weather-reading"
	WindRule      = "wind"
	GustRule      = "gust"
	IceRule       = "ice"
	ChillRule     = "wind-chill"
	HeatRule      = "heat"
	ThunderRule   = "thunder"
	LightningRule = "lightning"
	ForecastRule  = "weather-forecast"
)

// Place is where people work. Height is how high above the ground; 0 = not known,
// which stops.
type Place struct {
	Station id.Station
	Height  Height
}

// Standing is what the readings say of a place now.
type Standing struct {
	Findings []verdict.Finding // worst first; none = clear
	Newest   *Reading          // the last that speaks for the place, nil where none does
	Wind     Wind              // of Newest, at working height
	Due      civil.Instant     // when the next reading is due; 0 where none was read
	Resume   civil.Instant     // when work may resume after thunder; 0 where none was heard
}

// Level returns the worst answer.
func (s Standing) Level() verdict.Level { return verdict.Report{Findings: s.Findings}.Level() }

// LookBack is how far back readings are asked for: what stopped stays a stop until
// the same place is read again.
const LookBack civil.Minutes = 24 * 60

// Judge says what the readings of the last LookBack say of a place. Of the yard's
// own readings and of the station's, the newest of each counts: both must be
// read again before what one of them stopped is clear. What a reading stopped before it
// was corrected stands until then too: what the weather is now is read, not corrected.
func Judge(l Limits, p Place, readings []Reading, now civil.Instant) Standing {
	var s Standing
	add := func(f ...verdict.Finding) { s.Findings = append(s.Findings, f...) }
	fresh := false
	for _, scope := range scopes(p) {
		r := newest(readings, scope, now)
		before := l.corrected(p, readings, scope, r, now)
		if r == nil {
			add(before...)
			continue
		}
		young := now.Sub(r.At) <= l.Age()
		fresh = fresh || young
		if s.Newest == nil || r.At > s.Newest.At {
			s.Newest = r
			s.Wind, _ = r.Wind(p.Height)
		}
		said := l.said(p, *r)
		if !young { // it no longer clears and no longer cautions, but what it stopped stands
			said = slices.DeleteFunc(said, cannotStop)
		}
		add(append(said, before...)...) // of the same rule what stands is told first
	}
	if s.Newest != nil {
		s.Due = s.Newest.At.Add(l.Age())
	}
	if !fresh {
		add(l.old(p, s.Newest))
	}
	if until, found := l.thunder(p, readings, now); found != nil {
		s.Resume = until
		add(*found)
	}
	r := verdict.Report{Findings: s.Findings}
	r.Sort()
	s.Findings = slices.CompactFunc(r.Findings, func(a, b verdict.Finding) bool { return a.Level == b.Level && a.Subject() == b.Subject() })
	return s
}

func scopes(p Place) []id.Station {
	if p.Station == "" {
		return []id.Station{""}
	}
	return []id.Station{"", p.Station}
}

func cannotStop(f verdict.Finding) bool { return f.Level != verdict.Stops }

// corrected is what readings of a scope stopped before they were corrected, where it
// was not read again since: last is the newest that counts.
func (l Limits) corrected(p Place, readings []Reading, scope id.Station, last *Reading, now civil.Instant) (out []verdict.Finding) {
	for _, r := range readings {
		if !r.speaks(scope, now) || last != nil && r.At < last.At {
			continue
		}
		for _, was := range r.stood() {
			for _, f := range slices.DeleteFunc(l.said(p, was), cannotStop) {
				f.Found = append(f.Found, "; so it said before it was corrected")
				f.Required = append(f.Required, " in a new reading of the same place")
				out = append(out, f)
			}
		}
	}
	return out
}

// speaks reports whether a measured reading is of a scope, and neither too old nor of
// the future.
func (r Reading) speaks(scope id.Station, now civil.Instant) bool {
	return r.Kind == Measured && r.Station == scope && r.At <= now && now.Sub(r.At) <= LookBack
}

// newest returns the last measured reading of a scope that is not of the future.
func newest(list []Reading, scope id.Station, now civil.Instant) *Reading {
	var out *Reading
	for i, r := range list {
		if r.speaks(scope, now) && !r.Struck() && (out == nil || r.At >= out.At) {
			out = &list[i]
		}
	}
	return out
}

func (p Place) finding(level verdict.Level, rule string, found, required verdict.Text) verdict.Finding {
	who := verdict.Ref{Kind: verdict.Plan}
	if p.Station != "" {
		who = verdict.Ref{Kind: verdict.Station, ID: string(p.Station)}
	}
	return verdict.Finding{Level: level, Rule: rule, Who: who, Found: found, Required: required, Field: verdict.HeightRescue}
}

func (p Place) stops(rule string, found, required verdict.Text) verdict.Finding {
	return p.finding(verdict.Stops, rule, found, required)
}

func (p Place) cautions(rule string, found, required verdict.Text) verdict.Finding {
	return p.finding(verdict.Cautions, rule, found, required)
}

// old says that no reading is fresh enough.
func (l Limits) old(p Place, last *Reading) verdict.Finding {
	required := verdict.Say("a reading not older than ", l.Age())
	if last == nil {
		return p.stops(ReadingRule, verdict.Say("no weather was read here"), required)
	}
	return p.stops(ReadingRule, verdict.Say("the last reading is of ", last.At), required)
}

// said is everything one reading says of a place.
func (l Limits) said(p Place, r Reading) []verdict.Finding {
	var out []verdict.Finding
	add := func(f *verdict.Finding) {
		if f != nil {
			out = append(out, *f)
		}
	}
	w, ok := r.Wind(p.Height)
	switch {
	case !ok:
		f := p.stops(WindRule, verdict.Say("the reading states no mean wind with its height"), verdict.Say("a mean wind and the height it was read at"))
		add(&f)
	case p.Height <= 0:
		f := p.stops(WindRule, verdict.Say("the working height is not on record"), verdict.Say("a station drawn at its height, to which a reading can be raised"))
		add(&f)
	default:
		add(l.mean(p, r, w))
		add(l.gust(p, r, w))
	}
	add(ice(p, r))
	add(l.cold(p, r))
	add(l.heat(p, r))
	return out
}

func (l Limits) missing(p Place, rule, what string) *verdict.Finding {
	f := p.stops(rule, verdict.Say("the rule book states no limit for ", what), verdict.Say("a limit"))
	return &f
}

func (l Limits) mean(p Place, r Reading, w Wind) *verdict.Finding {
	stop, stated := l.Value(rulebook.WindStop)
	if !stated {
		return l.missing(p, WindRule, "mean wind")
	}
	caution, cautioned := l.Value(rulebook.WindCaution)
	found := verdict.Say("mean wind ", w.Mean, " at ", w.Height, taken(w.Mean != *r.Mean, *r.Mean, r))
	switch {
	case int64(w.Mean) >= stop:
		f := p.stops(WindRule, found, verdict.Say("below ", Speed(stop)))
		return &f
	case !cautioned || int64(w.Mean) >= caution:
		f := p.cautions(WindRule, found, verdict.Say("below ", Speed(min(caution, stop)), " without a caution; ", Speed(stop), " stops"))
		return &f
	}
	return nil
}

func (l Limits) gust(p Place, r Reading, w Wind) *verdict.Finding {
	stop, stated := l.Value(rulebook.GustStop)
	if !stated {
		return l.missing(p, GustRule, "gusts")
	}
	if int64(w.Gust) < stop {
		return nil
	}
	found := verdict.Say("gust ", w.Gust, " at ", w.Height)
	if r.Gust == nil {
		found = append(found, "; no gust was read, so twice the mean is taken")
	} else {
		found = append(found, taken(w.GustIsEstimate, *r.Gust, r))
	}
	f := p.stops(GustRule, found, verdict.Say("below ", Speed(stop)))
	return &f
}

// taken says what was read where it is not what is judged.
func taken(differs bool, read Speed, r Reading) verdict.Text {
	if !differs {
		return nil
	}
	return verdict.Say(", an estimate: read ", read, " at ", *r.Height, averagingWords[r.Averaging])
}

var averagingWords = map[Averaging]string{
	TenMinutes: "", Shorter: ", a mean of less than 10 min", Glance: " at a glance", Longer: ", a mean of more than 10 min", "": ", its averaging time not stated",
}
