package httpd

import (
	"github.com/danielgtaylor/huma/v2"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
)

// readSessions are what is booked, and what has become of it.
func (s *server) readSessions(api huma.API) {
	offer(s, api, operation{"GET", "/weeks/{week}", access.SeeWeek, "see-week", "The sessions of a week, stood down ones too."}, apiWeek)
	offer(s, api, operation{"GET", "/sessions/{session}", access.SeeSession, "see-session", "One session, with what every rule says of it now and how it came to be."}, apiSheetOf)
	offer(s, api, operation{"GET", "/attention", access.SeeAttention, "see-attention", "What booked sessions have come to: broken, waiting, not signed."}, apiAttentionNow)
	offer(s, api, operation{"GET", "/coverage", access.SeeCoverage, "see-coverage", "Which outcome can be taught where today."}, apiCoverageToday)
}

type weekAsked struct {
	Caller
	Week       string `path:"week" doc:"ISO week, such as 2027-W09"`
	Rig        string `query:"rig"`
	Intake     string `query:"intake"`
	Instructor string `query:"instructor"`
}

type apiWeekOf struct {
	Week     string       `json:"week"`
	Days     []apiDay     `json:"days"`
	Sessions []APISession `json:"sessions" doc:"By station, then start"`
	Shut     []apiShut    `json:"shut" doc:"When stations can't be used"`
}

type apiDay struct {
	Day    string `json:"day"`
	Open   bool   `json:"open"`
	Closed string `json:"closed,omitempty" doc:"Why it is closed"`
}

type apiShut struct {
	Station string `json:"station"`
	From    string `json:"from"`
	Until   string `json:"until"`
	Why     string `json:"why"`
}

func apiWeek(c *call, in *weekAsked) (apiWeekOf, error) {
	monday, err := civil.ParseWeek(in.Week)
	if err != nil || monday < firstDay || monday > lastDay {
		return apiWeekOf{}, fault.New(fault.NotFound, "There is no week %q. Weeks read like 2027-W09.", in.Week)
	}
	b, err := c.Desk.Board(c.ctx, c.Actor, monday, monday+6, booking.Filter{Rig: id.Rig(in.Rig), Intake: id.Intake(in.Intake), Instructor: id.Person(in.Instructor)})
	if err != nil {
		return apiWeekOf{}, err
	}
	out := apiWeekOf{Week: in.Week, Days: []apiDay{}, Sessions: []APISession{}, Shut: []apiShut{}}
	for _, d := range b.Days {
		out.Days = append(out.Days, apiDay{d.Day.String(), len(d.Open) > 0, d.Closed})
	}
	style := c.plainStyle()
	for _, row := range b.Rows {
		told := map[civil.Period]bool{}
		for _, cell := range row.Cells {
			for _, s := range cell.Sessions {
				out.Sessions = append(out.Sessions, c.session(s.Session))
			}
			for _, x := range cell.Shut {
				if !told[x.Period] {
					told[x.Period] = true
					out.Shut = append(out.Shut, apiShut{string(row.Station.ID), c.moment(x.Start), c.moment(x.End), x.Why.In(style)})
				}
			}
		}
	}
	return out, nil
}

type sessionAsked struct {
	Caller
	Session string `path:"session"`
}

type apiSheet struct {
	APISession
	Rev      int64        `json:"rev" doc:"Send it along with a change"`
	Names    []APINamed   `json:"names" doc:"Of the people in it"`
	Level    string       `json:"level,omitempty" enum:"clear,cautions,stops" doc:"Of the rules now; left out for a session whose time has come or that was stood down"`
	Findings []apiFinding `json:"findings"`
	Waits    []string     `json:"waits" doc:"Cautions that keep it pencilled"`
	History  []apiStep    `json:"history" doc:"Oldest first"`
}

type apiStep struct {
	Act   string `json:"act"`
	By    string `json:"by"`
	Role  string `json:"role"`
	At    string `json:"at"`
	Entry int64  `json:"entry"`
}

func apiSheetOf(c *call, in *sessionAsked) (apiSheet, error) {
	s, err := c.Desk.Sheet(c.ctx, c.Actor, id.Session(in.Session))
	if err != nil {
		return apiSheet{}, err
	}
	out := apiSheet{APISession: c.session(s.Value), Rev: s.Rev, Names: []APINamed{}, Findings: []apiFinding{}, Waits: []string{}, History: []apiStep{}}
	for _, t := range s.Value.Trainees {
		out.Names = append(out.Names, APINamed{string(t), s.Trainees[t]})
	}
	for _, list := range [][]id.Person{s.Value.Instructors, s.Value.Rescuers, s.Value.Others} {
		for _, p := range list {
			out.Names = append(out.Names, APINamed{string(p), s.Persons[p]})
		}
	}
	if s.Judged.Slice != nil {
		out.Level, out.Findings = s.Judged.Report.Level().String(), c.findings(s.Judged.Slice, s.Judged.Report.Findings)
		for _, f := range c.findings(s.Judged.Slice, s.Judged.Waits) {
			out.Waits = append(out.Waits, f.Caution)
		}
	}
	for _, h := range s.History {
		out.History = append(out.History, apiStep{h.Act, s.Persons[h.Actor], h.Role, c.moment(h.RecordedAt), h.Entry})
	}
	return out, nil
}

type apiAttention struct {
	Broken   []apiBroken  `json:"broken" doc:"Standing sessions that a later fact stops"`
	Waiting  []apiWaiting `json:"waiting" doc:"Pencilled, until cautions are accepted"`
	Unsigned []APISession `json:"unsigned" doc:"Over and not signed"`
	Shifted  []APISession `json:"shifted" doc:"Their offset is no longer the zone's: check the local time"`
}

type apiBroken struct {
	Finding  apiFinding   `json:"finding"`
	Sessions []APISession `json:"sessions" doc:"Empty for a finding about a person's day"`
}

type apiWaiting struct {
	Session  APISession   `json:"session"`
	Findings []apiFinding `json:"findings"`
}

func apiAttentionNow(c *call, _ *Caller) (apiAttention, error) {
	a, err := c.Desk.Attention(c.ctx, c.Actor)
	if err != nil {
		return apiAttention{}, err
	}
	out := apiAttention{Broken: []apiBroken{}, Waiting: []apiWaiting{}, Unsigned: c.sessions(a.Unsigned), Shifted: c.sessions(a.Shifted)}
	for _, b := range a.Broken {
		out.Broken = append(out.Broken, apiBroken{c.finding(b), c.sessions(b.Sessions)})
	}
	for _, w := range a.Waiting {
		out.Waiting = append(out.Waiting, apiWaiting{c.session(w.Session), c.findings(a.Slice, w.Waits)})
	}
	return out, nil
}

func (c *call) finding(b booking.Broken) apiFinding {
	return c.findings(b.Slice, []finding{b.Finding})[0]
}

type coverageAsked struct {
	Caller
	Without string `query:"without" doc:"A rig that is thought away"`
}

type apiCoverage struct {
	Day        string             `json:"day"`
	Lost       int                `json:"lost" doc:"Outcomes that no station delivers"`
	Single     int                `json:"single" doc:"Outcomes that one station alone delivers"`
	Programmes []apiProgrammeRows `json:"programmes"`
	Stuck      []apiStuck         `json:"stuck" doc:"Trainees with a need that no station can serve"`
}

type apiProgrammeRows struct {
	APINamed
	Outcomes []apiCovered `json:"outcomes"`
}

type apiCovered struct {
	Outcome  string   `json:"outcome"`
	Name     string   `json:"name"`
	Unit     string   `json:"unit"`
	Stations []string `json:"stations" doc:"That can deliver it today"`
}

type apiStuck struct {
	Trainee string   `json:"trainee"`
	Name    string   `json:"name"`
	Intake  string   `json:"intake"`
	Needs   []string `json:"needs"`
}

func apiCoverageToday(c *call, in *coverageAsked) (apiCoverage, error) {
	m, err := c.Coverage.Map(c.ctx, c.Actor, 0, id.Rig(in.Without))
	if err != nil {
		return apiCoverage{}, err
	}
	out := apiCoverage{Day: m.Day.String(), Lost: m.Lost, Single: m.Single, Programmes: []apiProgrammeRows{}, Stuck: []apiStuck{}}
	for _, p := range m.Programmes {
		rows := apiProgrammeRows{APINamed: APINamed{string(p.ID), p.Name}, Outcomes: []apiCovered{}}
		for _, u := range p.Units {
			for _, r := range u.Rows {
				one := apiCovered{string(r.Outcome), r.Name, u.Name, []string{}}
				for i, cell := range r.Cells {
					if len(cell.Exercises) > 0 && m.Stations[i].Out == nil && !m.Stations[i].Away {
						one.Stations = append(one.Stations, string(m.Stations[i].Station.ID))
					}
				}
				rows.Outcomes = append(rows.Outcomes, one)
			}
		}
		out.Programmes = append(out.Programmes, rows)
	}
	for _, x := range m.Stuck {
		out.Stuck = append(out.Stuck, apiStuck{string(x.Trainee), x.Name, x.Intake, all(x.Needs)})
	}
	return out, nil
}
