package solve

import (
	"compress/gzip"
	"fmt"
	"io"
	"os"
	"runtime"
	"slices"
	"testing"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// courses of study: which exercises a trainee needs.
var programmes = [][]string{
	{"safety-brief", "harness-fit", "ladder-climb", "evacuate-down", "rescue-ladder", "blade-visual", "blade-rope"},
	{"safety-brief", "isolate-energy", "hydraulic-bench", "hydraulic-fault", "cooling-loop", "generator-checks", "manual-handling", "bolt-tension"},
	{"safety-brief", "harness-fit", "ladder-climb", "evacuate-down", "rescue-ladder", "first-aid", "manual-handling", "fire-drill"},
}

// centre is an invented centre with yards like that of the small problem, each with
// 20 staff, and intakes of 8 that come for 12 days each, spread over the horizon.
func centre(tb testing.TB, trainees, days, yards int) *plan.Problem {
	p := readProblem(tb, "small")
	one := *p
	p.Days, p.Daylight, p.ClosedDays = days, nil, nil
	p.Rigs, p.Stations, p.Kits, p.People, p.Trainees, p.Intakes = nil, nil, nil, nil, nil, nil
	for d := range days {
		p.Daylight = append(p.Daylight, plan.Daylight{Day: p.From + civil.Day(d), From: 7 * 60, To: 18 * 60})
	}
	p.Exercises = slices.Clone(p.Exercises)
	for e := range p.Exercises {
		p.Exercises[e].Stations = nil
	}
	always := plan.Validity{From: p.From - 1000, Until: civil.LastDay}
	for y := range yards {
		name := func(id string) string { return fmt.Sprintf("%s-%d", id, y) }
		for _, r := range one.Rigs {
			r.ID = name(r.ID)
			p.Rigs = append(p.Rigs, r)
		}
		for _, k := range one.Kits {
			k.ID = name(k.ID)
			p.Kits = append(p.Kits, k)
		}
		for _, s := range one.Stations {
			s.ID, s.Rig, s.Shut, s.Zones = name(s.ID), name(s.Rig), nil, slices.Clone(s.Zones)
			for i := range s.Zones {
				s.Zones[i] = name(s.Zones[i])
			}
			if s.Rescue != nil {
				cover := *s.Rescue
				cover.Kit = name(cover.Kit)
				s.Rescue = &cover
			}
			p.Stations = append(p.Stations, s)
		}
		for e := range p.Exercises {
			for _, id := range one.Exercises[e].Stations {
				p.Exercises[e].Stations = append(p.Exercises[e].Stations, name(id))
			}
		}
		for i := range 20 {
			v := one.People[i%len(one.People)]
			v.ID, v.Available, v.Duties = fmt.Sprintf("staff%d-%02d", y, i), nil, nil
			v.Teaches, v.Rescuer = slices.Clone(v.Teaches), slices.Clone(v.Rescuer)
			for k := range v.Teaches {
				v.Teaches[k].Validity = always
			}
			for k := range v.Rescuer {
				v.Rescuer[k] = always
			}
			p.People = append(p.People, v)
		}
	}
	for i := range trainees {
		in := i / 8
		first := p.From + civil.Day(in*8*(days-14)/max(1, trainees-8))
		p.Trainees = append(p.Trainees, plan.Trainee{
			ID: fmt.Sprintf("trainee%04d", i), Intake: fmt.Sprintf("intake%03d", in), Needs: programmes[in%len(programmes)],
			Available: []civil.Period{{Start: p.Zone.StartOfDay(first), End: p.Zone.StartOfDay(first + 13)}}, Deadline: first + 12, Rest: []string{"trainee"},
		})
	}
	if err := p.Usable(); err != nil {
		tb.Fatal(err)
	}
	return p
}

// packedProblem reads a problem that is kept compressed.
func packedProblem(tb testing.TB, name string) *plan.Problem {
	f, err := os.Open("../../../testdata/problems/" + name + ".json.gz")
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	z, err := gzip.NewReader(f)
	if err != nil {
		tb.Fatal(err)
	}
	data, err := io.ReadAll(z)
	if err != nil {
		tb.Fatal(err)
	}
	p, err := plan.DecodeProblem(data)
	if err != nil {
		tb.Fatal(err)
	}
	return p
}

// BenchmarkPlan prints how good a plan is after some rounds, and how long they take:
// 30 are about a second on two free cores, 300 about ten.
func BenchmarkPlan(b *testing.B) {
	for _, name := range []string{"small", "medium", "medium-tight", "large", "half-year", "half-year-tight", "rich-small", "rich-medium", "2000 trainees 182 days"} {
		var p *plan.Problem
		switch name {
		case "small", "rich-small":
			p = readProblem(b, name)
		case "2000 trainees 182 days":
			p = centre(b, 2000, 182, 4)
		default:
			p = packedProblem(b, name)
		}
		for _, effort := range []int64{1, 30, 300} {
			b.Run(fmt.Sprintf("%s/%d rounds", name, effort), func(b *testing.B) {
				for b.Loop() {
					made := Plan(p, Options{Seed: 1, Effort: effort})
					b.ReportMetric(float64(made.Cost), "cost")
					b.ReportMetric(float64(len(made.Unplaced)), "unplaced")
				}
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				b.ReportMetric(float64(m.Sys>>20), "MiB")
			})
		}
	}
}
