package running

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/curriculum"
	"rungbook/internal/id"
	"rungbook/internal/rulebook"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// counts reports whether something done is of this session's day and station.
func (s *Scene) counts(d session.Done, at id.Station) bool {
	return d.At != 0 && s.View.Zone().DayOf(d.At) == s.Day && at == s.Session.Station
}

func (s *Scene) mend(page string) string {
	return "/yard/sessions/" + string(s.Session.ID) + "/" + page
}

// preUseGate: the station and the kit were looked at for this session, whole, and
// nothing failed.
func preUseGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "pre-use", Mend: s.mend("pre-use"), Do: "Check station and kit"}
	asked, err := s.ToCheck()
	if err != nil {
		return nil, err
	}
	check := s.Prepared.PreUse
	if check != nil && !s.counts(check.Done, check.Station) {
		check = nil
	}
	failed, lacks := check.Failed(), check.Lacks(asked)
	switch {
	case len(failed) > 0:
		g.Found, g.Required = verdict.Say("the check before use failed: ", s.thing(failed[0]), more(failed)), verdict.Say("mended or taken out, and checked again")
	case check == nil:
		g.Found, g.Required = verdict.Say("station and kit are not checked for this session"), verdict.Say("each item of the check lists looked at today")
	case len(lacks) > 0:
		g.Found, g.Required = verdict.Say("the check before use is not whole: ", s.thing(lacks[0]), more(lacks)), verdict.Say("each item of the check lists looked at today")
	default:
		g.Holds, g.Found = true, verdict.Say("station and kit passed the check of ", s.person(check.Done.By), ", ", check.Done.At)
	}
	return []Gate{g}, nil
}

// thing is the station or kit that a check speaks of.
func (s *Scene) thing(of string) verdict.Ref {
	if of == string(s.Session.Station) {
		return verdict.Ref{Kind: verdict.Station, ID: of}
	}
	return verdict.Ref{Kind: verdict.Kit, ID: of}
}

func (s *Scene) person(p id.Person) verdict.Ref {
	return verdict.Ref{Kind: verdict.Person, ID: string(p)}
}

func more(list []string) string {
	if len(list) > 1 {
		return ", and more"
	}
	return ""
}

// briefGate: the rescue brief was held for the plan in force and with the people
// who are here. While the session runs, everybody with a role must still be here,
// and enough of those who heard it.
func briefGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "rescue-brief", Running: true, Mend: s.mend("rescue-brief"), Do: "Hold the rescue brief"}
	if s.Counted && !s.Station.AsksForRescue() {
		g.Holds, g.Found = true, verdict.Say("the station asks for no rescue brief")
		return []Gate{g}, nil
	}
	plan, ok := s.PlanInForce()
	b, crew := s.Prepared.Brief, s.Crew()
	switch {
	case !ok:
		g.Found, g.Required = verdict.Say("no rescue plan is in force for the station"), verdict.Say("one that is approved and in force")
	case b == nil || !s.counts(b.Done, b.Station):
		g.Found, g.Required = verdict.Say("the rescue brief is not held"), verdict.Say("held today, under version ", plan.Version, " of the plan")
	case b.Plan != plan.ID || b.Version != plan.Version:
		g.Found, g.Required = verdict.Say("the rescue brief was of version ", b.Version, " of the plan"), verdict.Say("version ", plan.Version, ", which is in force, or the plan that is")
	case len(b.Left(session.AskedRoles(plan), crew)) > 0:
		g.Found, g.Required = verdict.Say("somebody who took a role in the rescue is not here"), verdict.Say("each role taken by one who is here")
	case !s.underWay() && !slices.Equal(b.Heard, crew):
		g.Found, g.Required = verdict.Say("the people have changed since the rescue brief"), verdict.Say("held with those who are here")
	case s.underWay() && s.briefed(b) < s.Figures.RescuersAsked:
		g.Found, g.Required = verdict.Say("of the rescuers here, ", s.briefed(b), " heard the rescue brief"), verdict.Say(s.Figures.RescuersAsked)
	default:
		g.Holds, g.Found = true, verdict.Say("rescue brief held by ", s.person(b.Done.By), ", ", b.Done.At, ", version ", b.Version)
	}
	return []Gate{g}, nil
}

// briefed counts the rescue-competent who are here and heard the brief.
func (s *Scene) briefed(b *session.Brief) (n int) {
	for _, who := range b.Heard {
		if _, competent := s.Figures.RescueCompetent[string(who)]; competent {
			n++
		}
	}
	return n
}

// readGate: whoever starts was shown the session's cautions as they are now.
func readGate(s *Scene) ([]Gate, error) {
	cautions := s.Report.At(verdict.Cautions)
	g := Gate{Name: "cautions-read", Mend: s.mend("cautions"), Do: "Read the cautions"}
	unread := s.Prepared.Seen.Unread(cautions, s.Starter)
	switch {
	case len(cautions) == 0:
		g.Holds, g.Found = true, verdict.Say("there is no caution to read")
	case s.Prepared.Seen != nil && len(unread) == 0 && s.View.Zone().DayOf(s.Prepared.Seen.Done.At) == s.Day:
		g.Holds, g.Found = true, verdict.Say("cautions read by ", s.person(s.Prepared.Seen.Done.By), ", ", s.Prepared.Seen.Done.At)
	default:
		g.Found, g.Required = verdict.Say("the cautions are not read: ", len(cautions)), verdict.Say("by whoever starts the session, as they are now")
	}
	return []Gate{g}, nil
}

// warmUpGate: the group has warmed up before a practical.
func warmUpGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "warm-up", Mend: s.mend("warm-up"), Do: "Note the warm-up"}
	w := s.Prepared.WarmUp
	switch {
	case s.Counted && s.Exercise.Setting == curriculum.Theory:
		g.Holds, g.Found = true, verdict.Say("theory asks for no warm-up")
	case w == nil || s.View.Zone().DayOf(w.At) != s.Day:
		g.Found, g.Required = verdict.Say("the group has not warmed up"), verdict.Say("before a practical")
	default:
		g.Holds, g.Found = true, verdict.Say("warm-up noted by ", s.person(w.By), ", ", w.At)
	}
	return []Gate{g}, nil
}

// recheckGate: where a course is split over days, theory and safety points were
// asked again of everybody within the rule book's time before the practical.
func recheckGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: rulebook.RecheckGate, Mend: s.mend("recheck"), Do: "Ask theory and safety points again"}
	line, limited, asked, err := s.ToRecheck()
	switch {
	case err != nil:
		return nil, err
	case !limited:
		g.Holds, g.Found = true, verdict.Say("no line of the rule book asks for theory to be checked again here")
	case len(asked) == 0:
		g.Holds, g.Found = true, verdict.Say("nobody's theory must be checked again")
	default:
		g.Found = verdict.Say("theory and safety points are not checked again: ", len(asked), " of ", len(s.WithPresent().Trainees))
		g.Required = verdict.Say("within ", civil.Minutes(line.Value), " before a practical, since the course is split over days")
	}
	return []Gate{g}, nil
}

// ToRecheck returns the trainees whose theory must still be checked again, and the
// line that asks for it; limited is false where none does.
func (s *Scene) ToRecheck() (line rulebook.Line, limited bool, out []id.Trainee, err error) {
	if s.Counted && s.Exercise.Setting == curriculum.Theory {
		return line, false, nil, nil
	}
	line, limited = s.Slice.Book().Strictest(rulebook.TheoryRecheck)
	if !limited {
		return line, false, nil, nil
	}
	within, begins := civil.Minutes(line.Value), s.Now
	if s.Session.Run != nil {
		begins = s.Session.Run.Began
	}
	theirs, err := s.View.SessionsOfTrainees(s.Session.Trainees)
	if err != nil {
		return line, true, nil, err
	}
	asked, err := s.askedAgain(theirs, begins, within)
	if err != nil {
		return line, true, nil, err
	}
	for _, t := range s.WithPresent().Trainees {
		var earlier []session.Session
		for _, x := range theirs {
			if slices.Contains(x.Trainees, t) {
				earlier = append(earlier, x)
			}
		}
		if session.NeedsRecheck(earlier, s.Day, s.View.Zone(), begins, within) && !slices.Contains(asked, t) {
			out = append(out, t)
		}
	}
	return line, true, out, nil
}

// askedAgain are those who were asked within the time, in this session or another one.
func (s *Scene) askedAgain(theirs []session.Session, begins civil.Instant, within civil.Minutes) (out []id.Trainee, err error) {
	var near []id.Session
	for _, x := range theirs {
		if x.Start < begins.Add(24*60) && x.End > begins.Add(-within-24*60) {
			near = append(near, x.ID)
		}
	}
	all, err := s.View.Preparations(near...)
	for _, p := range all {
		if r := p.Recheck; r != nil && r.Done.At <= begins && begins.Sub(r.Done.At) <= within {
			out = append(out, r.Trainees...)
		}
	}
	return out, err
}
