package httpd

import (
	"slices"

	"github.com/danielgtaylor/huma/v2"

	"rungbook/internal/access"
	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
	"rungbook/internal/rulebook"
)

// readReference are the slowly changing records: what is taught, what is checked and
// by which limits, and who may sign in.
func (s *server) readReference(api huma.API) {
	offer(s, api, operation{"GET", "/outcomes", access.SeeCoverage, "list-outcomes", "The outcomes, and the exercises that deliver each."}, apiOutcomes)
	offer(s, api, operation{"GET", "/programmes", access.SeeIntakes, "list-programmes", "The programmes with their exercises and units."}, apiProgrammes)
	offer(s, api, operation{"GET", "/kits", access.SeeStation, "list-kits", "The kits, how many there are and their last valid day."}, apiKits)
	offer(s, api, operation{"GET", "/inspections", access.SeeStation, "list-inspections", "The inspections done, by subject."}, apiInspections)
	offer(s, api, operation{"GET", "/rescue-plans", access.SeeStation, "list-rescue-plans", "Every version of the rescue plans, with its drills."}, apiRescuePlans)
	offer(s, api, operation{"GET", "/rule-book", access.SeeRuleBook, "see-rule-book", "The limits in force today with their sources, or those of a version."}, apiRuleBook)
	offer(s, api, operation{"GET", "/employers", access.SeePeople, "list-employers", "The employers."}, apiEmployers)
	offer(s, api, operation{"GET", "/appointments", access.SeePeople, "list-appointments", "The responsible persons by field, from when to when."}, apiAppointments)
	offer(s, api, operation{"GET", "/accounts", access.SeeAccounts, "list-accounts", "Who may sign in, with roles and last sign-in."}, apiAccounts)
}

// reference answers from the reference records of one entry.
func reference[O any](c *call, action access.Action, entry *int64, out *O, read func(*records.Lists) error) (O, error) {
	err := c.atEntry(action, func(l *records.Lists) error {
		*entry = l.Entry
		return read(l)
	})
	return *out, err
}

// day writes a day, "" for none.
func day(d civil.Day) string {
	if d == 0 {
		return ""
	}
	return d.String()
}

type apiOutcome struct {
	APINamed
	Exercises []string `json:"exercises" doc:"That deliver it today"`
	Retired   string   `json:"retired,omitempty" doc:"First day without it"`
}

type apiOutcomeList struct {
	Outcomes []apiOutcome `json:"outcomes"`
	OfEntry
}

func apiOutcomes(c *call, _ *Caller) (apiOutcomeList, error) {
	out := apiOutcomeList{Outcomes: []apiOutcome{}}
	return reference(c, access.SeeCoverage, &out.Entry, &out, func(*records.Lists) error {
		for _, o := range c.Ref.Outcomes.All(c.Today) {
			one := apiOutcome{APINamed{string(o.ID), c.Ref.Text(o.Name)}, []string{}, day(o.Retired)}
			for _, e := range c.Ref.Exercises.All(c.Today) {
				if e.On(c.Today) && e.Delivers(o.ID) {
					one.Exercises = append(one.Exercises, string(e.ID))
				}
			}
			out.Outcomes = append(out.Outcomes, one)
		}
		return nil
	})
}

type apiProgramme struct {
	APINamed
	Exercises []string  `json:"exercises" doc:"In teaching order"`
	Units     []apiUnit `json:"units"`
	Minutes   int64     `json:"minutes" doc:"Contact time it asks for"`
	SpanDays  int       `json:"span_days" doc:"To be completed within; 0 is no limit"`
	Validity  string    `json:"validity,omitempty" doc:"Line of the rule book that gives the certificate's months; left out where it has no end"`
	Retired   string    `json:"retired,omitempty" doc:"First day on which no intake is taken in for it"`
}

type apiUnit struct {
	Name     string   `json:"name"`
	Outcomes []string `json:"outcomes"`
}

type apiProgrammeList struct {
	Programmes []apiProgramme `json:"programmes"`
	OfEntry
}

func apiProgrammes(c *call, _ *Caller) (apiProgrammeList, error) {
	out := apiProgrammeList{Programmes: []apiProgramme{}}
	return reference(c, access.SeeIntakes, &out.Entry, &out, func(*records.Lists) error {
		for _, p := range c.Ref.Programmes.All(c.Today) {
			one := apiProgramme{APINamed{string(p.ID), c.Ref.Text(p.Name)}, texts(p.Exercises), []apiUnit{}, int64(p.Hours), p.SpanDays, p.Validity, day(p.Retired)}
			for _, u := range p.Units {
				one.Units = append(one.Units, apiUnit{c.Ref.Text(u.Name), texts(u.Outcomes)})
			}
			out.Programmes = append(out.Programmes, one)
		}
		return nil
	})
}

type apiKit struct {
	APINamed
	Count       int      `json:"count"`
	LastValid   string   `json:"last_valid,omitempty" doc:"Last valid day; left out where none is stated, and then it is not in service"`
	Inspections []string `json:"inspections" doc:"Lines of the rule book"`
	Retired     string   `json:"retired,omitempty" doc:"First day without it"`
}

type apiKitList struct {
	Kits []apiKit `json:"kits"`
	OfEntry
}

func apiKits(c *call, _ *Caller) (apiKitList, error) {
	out := apiKitList{Kits: []apiKit{}}
	return reference(c, access.SeeStation, &out.Entry, &out, func(*records.Lists) error {
		for _, k := range c.Ref.Kits.All(c.Today) {
			out.Kits = append(out.Kits, apiKit{APINamed{string(k.ID), c.Ref.Text(k.Name)}, k.Count, day(k.LastValid), all(k.Inspections), day(k.Retired)})
		}
		return nil
	})
}

type subjectAsked struct {
	Caller
	Subject string `query:"subject" doc:"A rig, station or kit"`
}

type apiInspection struct {
	ID      string `json:"id"`
	Subject string `json:"subject" doc:"A rig, station or kit"`
	Line    string `json:"line" doc:"Of the rule book"`
	Done    string `json:"done"`
	Passed  bool   `json:"passed"`
	By      string `json:"by" doc:"Person"`
}

type apiInspectionList struct {
	Inspections []apiInspection `json:"inspections"`
	OfEntry
}

func apiInspections(c *call, in *subjectAsked) (apiInspectionList, error) {
	out := apiInspectionList{Inspections: []apiInspection{}}
	return reference(c, access.SeeStation, &out.Entry, &out, func(*records.Lists) error {
		for _, x := range c.Ref.Inspections.All(civil.LastDay) {
			if in.Subject == "" || in.Subject == x.Subject {
				out.Inspections = append(out.Inspections, apiInspection{string(x.ID), x.Subject, x.Line, day(x.Done), x.Passed, string(x.By)})
			}
		}
		return nil
	})
}

type apiRescuePlan struct {
	APINamed
	Version    int        `json:"version"`
	Stations   []string   `json:"stations"`
	Author     string     `json:"author"`
	ApprovedBy string     `json:"approved_by,omitempty" doc:"Left out for one that nobody approved, which counts nowhere"`
	InForce    string     `json:"in_force,omitempty" doc:"From this day"`
	ReviewBy   string     `json:"review_by,omitempty" doc:"Last day before it lapses"`
	Withdrawn  string     `json:"withdrawn,omitempty" doc:"First day without it"`
	Target     int64      `json:"target_minutes" doc:"To reach a casualty"`
	Drills     []apiDrill `json:"drills"`
}

type apiDrill struct {
	Day      string `json:"day"`
	Minutes  int64  `json:"minutes" doc:"To a safe place"`
	Accepted bool   `json:"accepted"`
}

type apiRescuePlanList struct {
	RescuePlans []apiRescuePlan `json:"rescue_plans"`
	OfEntry
}

func apiRescuePlans(c *call, _ *Caller) (apiRescuePlanList, error) {
	out := apiRescuePlanList{RescuePlans: []apiRescuePlan{}}
	return reference(c, access.SeeStation, &out.Entry, &out, func(*records.Lists) error {
		drills := c.Ref.Drills.All(civil.LastDay)
		for _, k := range c.Ref.RescuePlans.Keys() {
			for _, d := range c.Ref.RescuePlans.Versions(k) {
				p := d.Value
				one := apiRescuePlan{APINamed{string(p.ID), c.Ref.Text(p.Name)}, p.Version, texts(p.Stations), string(p.Author), string(p.ApprovedBy), day(p.InForce), day(p.ReviewBy), day(p.Withdrawn), int64(p.Target), []apiDrill{}}
				for _, x := range drills {
					if x.Plan == p.ID && x.Version == p.Version {
						one.Drills = append(one.Drills, apiDrill{day(x.Day), int64(x.Minutes), x.Accepted})
					}
				}
				out.RescuePlans = append(out.RescuePlans, one)
			}
		}
		return nil
	})
}

type ruleBookAsked struct {
	Caller
	Version string `query:"version" doc:"Its id; the one in force today where it is left out"`
}

type apiRuleBookOf struct {
	Version  string         `json:"version" doc:"Empty where none is in force: then every booking stops"`
	From     string         `json:"from,omitempty"`
	Missing  []string       `json:"missing" doc:"Fields that nobody confirmed: every booking in its time stops"`
	Profiles []string       `json:"profiles"`
	Lines    []apiLine      `json:"lines"`
	Versions []apiVersionOf `json:"versions" doc:"All, by their first days"`
	OfEntry
}

type apiVersionOf struct {
	ID   string `json:"id"`
	From string `json:"from"`
}

type apiLine struct {
	ID       string    `json:"id"`
	Profile  string    `json:"profile"`
	Label    string    `json:"label"`
	Value    int64     `json:"value"`
	Unit     string    `json:"unit"`
	Field    string    `json:"field" doc:"Whose responsible person confirms it"`
	JudgedBy string    `json:"judged_by,omitempty" doc:"The rule; left out for a limit that Rungbook does not check"`
	Source   apiSource `json:"source"`
}

type apiSource struct {
	Document string `json:"document"`
	Version  string `json:"version,omitempty"`
	Clause   string `json:"clause,omitempty"`
	Mark     string `json:"mark" doc:"How the source was read"`
}

func apiRuleBook(c *call, in *ruleBookAsked) (apiRuleBookOf, error) {
	out := apiRuleBookOf{Missing: []string{}, Profiles: []string{}, Lines: []apiLine{}, Versions: []apiVersionOf{}}
	return reference(c, access.SeeRuleBook, &out.Entry, &out, func(*records.Lists) error {
		versions := c.Ref.RuleBooks.All(civil.LastDay)
		slices.SortFunc(versions, func(a, b rulebook.Version) int { return int(a.From - b.From) })
		for _, x := range versions {
			out.Versions = append(out.Versions, apiVersionOf{string(x.ID), day(x.From)})
		}
		shown, ok := rulebook.InForce(versions, c.Today)
		if in.Version != "" {
			i := slices.IndexFunc(versions, func(x rulebook.Version) bool { return x.ID == id.RuleBook(in.Version) })
			if i < 0 {
				return fault.New(fault.NotFound, "There is no version %q of the rule book.", in.Version)
			}
			shown, ok = versions[i], true
		}
		if !ok {
			return nil
		}
		out.Version, out.From, out.Missing, out.Profiles = string(shown.ID), day(shown.From), texts(shown.Confirmed(nil, c.Today)), texts(shown.Profiles)
		for _, l := range shown.Lines {
			m, _ := l.Quantity.Meaning()
			out.Lines = append(out.Lines, apiLine{l.ID, string(l.Profile), l.Label(), l.Value, string(m.Unit), string(l.Field), m.JudgedBy,
				apiSource{l.Source.Document, l.Source.Version, l.Source.Clause, string(l.Source.Mark)}})
		}
		return nil
	})
}

type apiEmployerList struct {
	Employers []APINamed `json:"employers"`
	OfEntry
}

func apiEmployers(c *call, _ *Caller) (apiEmployerList, error) {
	out := apiEmployerList{Employers: []APINamed{}}
	return reference(c, access.SeePeople, &out.Entry, &out, func(*records.Lists) error {
		for _, e := range c.Ref.Employers.All(c.Today) {
			out.Employers = append(out.Employers, APINamed{string(e.ID), c.Ref.Text(e.Name)})
		}
		return nil
	})
}

type apiAppointment struct {
	Field  string `json:"field"`
	Person string `json:"person"`
	Name   string `json:"name"`
	From   string `json:"from"`
	Until  string `json:"until" doc:"Counted"`
}

type apiAppointmentList struct {
	Appointments []apiAppointment `json:"appointments"`
	OfEntry
}

func apiAppointments(c *call, _ *Caller) (apiAppointmentList, error) {
	out := apiAppointmentList{Appointments: []apiAppointment{}}
	return reference(c, access.SeePeople, &out.Entry, &out, func(*records.Lists) error {
		for _, a := range c.Ref.Appointments.All(c.Today) {
			out.Appointments = append(out.Appointments, apiAppointment{string(a.Field), string(a.Person), c.Ref.StaffName(a.Person), day(a.From), day(a.Until)})
		}
		return nil
	})
}

type apiAccount struct {
	ID         string   `json:"id"`
	Person     string   `json:"person,omitempty" doc:"Left out until they have given their name"`
	Name       string   `json:"name"`
	Email      string   `json:"email"`
	Roles      []string `json:"roles"`
	Disabled   bool     `json:"disabled"`
	LastSignIn string   `json:"last_sign_in,omitempty"`
}

type apiAccountList struct {
	Accounts []apiAccount `json:"accounts"`
	OfEntry
}

func apiAccounts(c *call, _ *Caller) (apiAccountList, error) {
	out := apiAccountList{Accounts: []apiAccount{}}
	return reference(c, access.SeeAccounts, &out.Entry, &out, func(l *records.Lists) error {
		list, err := l.Accounts()
		for _, a := range list {
			out.Accounts = append(out.Accounts, apiAccount{string(a.ID), string(a.Person), a.Name, a.Email, texts(a.Roles), a.Ended, c.moment(a.LastSignIn)})
		}
		return err
	})
}
