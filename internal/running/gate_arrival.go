package running

import (
	"slices"

	"rungbook/internal/arrival"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/verdict"
)

// arrivalGate: of every trainee who takes part it was seen who they are, that their
// fitness statement was signed before they attend, and that they know the site.
// Nothing is known of the statement but its signature.
func arrivalGate(s *Scene) ([]Gate, error) {
	g := Gate{Name: "arrivals", Running: true, Do: "Open the arrivals",
		Required: verdict.Say("identity and fitness statement seen and the site induction done, of every trainee here")}
	trainees := s.WithPresent().Trainees
	seen, err := s.View.Arrivals(trainees...)
	if err != nil {
		return nil, err
	}
	list, err := s.View.Trainees(trainees...)
	if err != nil {
		return nil, err
	}
	intake := map[id.Trainee]id.Intake{}
	for _, t := range list {
		intake[t.ID] = t.Intake
	}
	parts, err := planning.PartsBegan(s.View, trainees, s.Day)
	if err != nil {
		return nil, err
	}
	start := max(s.Session.Start, s.Now) // it has not begun before now
	var open []lacking
	for _, t := range trainees {
		a := arrival.Arrival{Trainee: t}
		if i := slices.IndexFunc(seen, func(x arrival.Arrival) bool { return x.Trainee == t }); i >= 0 {
			a = seen[i]
		}
		if lacks := a.Lacks(start, parts[t]); len(lacks) > 0 {
			if g.Mend == "" && intake[t] != "" {
				g.Mend = "/intakes/" + string(intake[t]) + "/arrivals"
			}
			open = alike(open, t, lacks)
		}
	}
	for n, l := range open {
		if n > 0 {
			g.Found = append(g.Found, "; ")
		}
		g.Found = append(g.Found, l.say()...)
	}
	if g.Found == nil {
		g.Holds, g.Found = true, verdict.Say("seen of all ", len(trainees), " trainees")
	}
	return []Gate{g}, nil
}

// lacking are trainees of whom the same is not on record.
type lacking struct {
	of    []id.Trainee
	lacks []arrival.Lack
}

// alike puts a trainee to those who lack the same.
func alike(list []lacking, t id.Trainee, lacks []arrival.Lack) []lacking {
	for i := range list {
		if slices.Equal(list[i].lacks, lacks) {
			list[i].of = append(list[i].of, t)
			return list
		}
	}
	return append(list, lacking{[]id.Trainee{t}, lacks})
}

// say tells first what lacks, which is the same for all of them, and then of whom.
func (l lacking) say() (out verdict.Text) {
	out = verdict.Say("not on record")
	for n, x := range l.lacks {
		out = append(out, map[bool]string{true: " ", false: ", "}[n == 0], string(x))
	}
	out = append(out, ": ")
	for n, t := range l.of {
		if n > 0 {
			out = append(out, ", ")
		}
		out = append(out, verdict.Ref{Kind: verdict.Trainee, ID: string(t)})
	}
	return out
}
