package httpd

import (
	"encoding/base64"

	"rungbook/internal/booking"
	"rungbook/internal/id"
	"rungbook/internal/planning"
	"rungbook/internal/session"
	"rungbook/internal/verdict"
)

// APINamed is a thing by id and name.
type APINamed struct {
	ID   string `json:"id"`
	Name string `json:"name"`
}

// apiRef is a thing that a finding names.
type apiRef struct {
	Kind string `json:"kind"`
	ID   string `json:"id"`
	Name string `json:"name"`
}

// apiFinding is one answer of one rule.
type apiFinding struct {
	Level    string      `json:"level" enum:"cautions,stops"`
	Rule     string      `json:"rule"`
	Title    string      `json:"title"`
	Who      apiRef      `json:"who"`
	Also     []apiRef    `json:"also"`
	Found    string      `json:"found"`
	Required string      `json:"required"`
	Nearest  *apiNearest `json:"nearest,omitempty"`
	Field    string      `json:"field,omitempty" doc:"Whose responsible person may accept the caution"`
	Excess   int64       `json:"excess" doc:"How far beyond the limit, in the rule's own unit"`
	Caution  string      `json:"caution,omitempty" doc:"Names a caution when it is accepted"`
}

// apiNearest is a change that clears a finding.
type apiNearest struct {
	Say     string    `json:"say"`
	Start   string    `json:"start,omitempty"`
	Station string    `json:"station,omitempty"`
	Swap    []apiSwap `json:"swap"`
	Leave   []string  `json:"leave"`
}

type apiSwap struct {
	Out string `json:"out"`
	In  string `json:"in"`
}

func (c *call) ref(s *planning.Slice, r verdict.Ref) apiRef {
	return apiRef{string(r.Kind), r.ID, s.Name(r)}
}

func (c *call) findings(s *planning.Slice, list []verdict.Finding) []apiFinding {
	out := make([]apiFinding, len(list))
	style := c.style(s)
	for i, f := range list {
		out[i] = apiFinding{Level: f.Level.String(), Rule: f.Rule, Title: verdict.RuleName(f.Rule), Who: c.ref(s, f.Who), Also: []apiRef{},
			Found: f.Found.In(style), Required: f.Required.In(style), Nearest: c.nearest(s, f.Nearest), Excess: f.Excess}
		for _, r := range f.Also {
			out[i].Also = append(out[i].Also, c.ref(s, r))
		}
		if f.Level == verdict.Cautions {
			out[i].Field, out[i].Caution = string(f.Field), base64.RawURLEncoding.EncodeToString([]byte(f.Subject()))
		}
	}
	return out
}

func (c *call) nearest(s *planning.Slice, n *verdict.Nearest) *apiNearest {
	if n == nil {
		return nil
	}
	out := &apiNearest{Say: n.Say.In(c.style(s)), Station: n.Station, Swap: []apiSwap{}, Leave: all(n.Leave)}
	if n.Start != 0 {
		out.Start = c.moment(civilInstant(n.Start))
	}
	for _, x := range n.Swap {
		out.Swap = append(out.Swap, apiSwap{x.Out, x.In})
	}
	return out
}

// APIProposal is a session as somebody would have it.
type APIProposal struct {
	Exercise    string   `json:"exercise" minLength:"1"`
	Station     string   `json:"station" minLength:"1"`
	Start       string   `json:"start" doc:"Local time with offset, such as 2027-03-02T09:30:00+00:00"`
	Trainees    []string `json:"trainees"`
	Instructors []string `json:"instructors"`
	Rescuers    []string `json:"rescuers,omitempty" doc:"Standby, beyond the instructors"`
	Trial       string   `json:"trial,omitempty" enum:"drill,mock-audit" doc:"What a new session is a trial of: it credits nobody, and may have no trainees. Left out for training; one that stands stays what it is"`
}

// apiOffer is a free time, ready to be sent as a proposal.
type apiOffer struct {
	APIProposal
	End          string       `json:"end"`
	Cautions     []apiFinding `json:"cautions" doc:"They keep the session pencilled until each is accepted"`
	TraineeDays  int          `json:"trainee_days" doc:"Days on which a trainee would come in only for it"`
	IdleMinutes  int64        `json:"idle_minutes"`
	StaffMinutes int64        `json:"staff_minutes"`
}

// planned is a session as the rules see it; trial is what it was asked for as a trial of.
func (c *call) planned(s booking.Planned, trial session.Trial) APIProposal {
	return APIProposal{Exercise: string(planning.Stood(s.Exercise)), Trial: string(trial), Station: s.Station, Start: c.moment(s.Start), Trainees: all(s.Trainees), Instructors: all(s.Instructors), Rescuers: all(s.Rescuers)}
}

func (c *call) offer(s *planning.Slice, o booking.Offer, trial session.Trial) apiOffer {
	return apiOffer{APIProposal: c.planned(o.Session, trial), End: c.moment(o.Session.End), Cautions: c.findings(s, o.Report.At(verdict.Cautions)),
		TraineeDays: o.TraineeDays, IdleMinutes: int64(o.Idle), StaffMinutes: int64(o.StaffMinutes)}
}

// APISession is a session on record.
type APISession struct {
	ID           string     `json:"id"`
	State        string     `json:"state"`
	Exercise     string     `json:"exercise"`
	ExerciseName string     `json:"exercise_name"`
	Station      string     `json:"station"`
	StationName  string     `json:"station_name"`
	Start        string     `json:"start"`
	End          string     `json:"end"`
	Trainees     []string   `json:"trainees"`
	Instructors  []string   `json:"instructors"`
	Rescuers     []string   `json:"rescuers"`
	Others       []string   `json:"others"`
	OtherParts   []apiOther `json:"other_parts" doc:"In what part each of the others is in it"`
	Trial        bool       `json:"trial" doc:"Credits nothing"`
	TrialOf      string     `json:"trial_of,omitempty" enum:"drill,mock-audit" doc:"What a trial is for; left out where it was not said"`
	Down         string     `json:"down,omitempty" doc:"Why it was stood down"`
}

// apiOther is one of a session's others.
type apiOther struct {
	Person string `json:"person"`
	As     string `json:"as" enum:"observer,candidate,auditor,visitor"`
}

func (c *call) session(s session.Session) APISession {
	day := c.Zone.DayOf(s.Start)
	exercise, _ := c.Ref.Exercises.On(s.Exercise, day)
	station, _ := c.Ref.Stations.On(s.Station, day)
	parts := []apiOther{}
	for _, o := range s.TheOthers() {
		parts = append(parts, apiOther{string(o.Person), string(o.As)})
	}
	return APISession{ID: string(s.ID), State: string(s.State), Exercise: string(s.Exercise), ExerciseName: c.Ref.Text(exercise.Name),
		Station: string(s.Station), StationName: c.Ref.Text(station.Name), Start: c.moment(s.Start), End: c.moment(s.End),
		Trainees: texts(s.Trainees), Instructors: texts(s.Instructors), Rescuers: texts(s.Rescuers), Others: texts(s.Others), OtherParts: parts, Trial: s.Trial, TrialOf: string(s.TrialOf), Down: string(s.Down)}
}

func (c *call) sessions(list []session.Session) []APISession {
	out := make([]APISession, len(list))
	for i, s := range list {
		out[i] = c.session(s)
	}
	return out
}

// texts and all return lists that are never null.
func texts[T ~string](ids []T) []string {
	out := make([]string, len(ids))
	for i, v := range ids {
		out[i] = string(v)
	}
	return out
}

func all(list []string) []string { return append([]string{}, list...) }

// proposal reads a proposal; of is the session it changes, "" for a new one.
func (c *call) proposal(p APIProposal, of string) (booking.Proposal, error) {
	start, err := c.startOf(p.Start)
	return booking.Proposal{Session: id.Session(of), Exercise: id.Exercise(p.Exercise), Station: id.Station(p.Station), Start: start,
		Trainees: planning.IDs[id.Trainee](p.Trainees), Instructors: planning.IDs[id.Person](p.Instructors), Rescuers: planning.IDs[id.Person](p.Rescuers), Trial: session.Trial(p.Trial)}, err
}
