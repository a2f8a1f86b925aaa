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
	for _, t := range trainees {
		a := arrival.Arrival{Trainee: t}
		if i := slices.IndexFunc(seen, func(x arrival.Arrival) bool { return x.Trainee == t }); i >= 0 {
			a = seen[i]
		}
		lacks := a.Lacks(start, parts[t])
		if len(lacks) == 0 {
			continue
		}
		if g.Found != nil {
			g.Found = append(g.Found, "; ")
		} else if of := intake[t]; of != "" {
			g.Mend = "/intakes/" + string(of) + "/arrivals"
		}
		g.Found = append(g.Found, "of ", verdict.Ref{Kind: verdict.Trainee, ID: string(t)}, " it is not on record ")
		for n, l := range lacks {
			if n > 0 {
				g.Found = append(g.Found, ", ")
			}
			g.Found = append(g.Found, string(l))
		}
	}
	if g.Found == nil {
		g.Holds, g.Found = true, verdict.Say("seen of all ", len(trainees), " trainees")
	}
	return []Gate{g}, nil
}
