package httpd

import (
	"encoding/base64"
	"encoding/json"

	"github.com/danielgtaylor/huma/v2"

	"rungbook/internal/access"
	"rungbook/internal/credential"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/records"
)

// readRecords are the yard, what is taught, and people.
func (s *server) readRecords(api huma.API) {
	offer(s, api, operation{"GET", "/yard", access.SeeYard, "see-yard", "The yard, its rigs and stations, and what can be used now."}, apiYardNow)
	offer(s, api, operation{"GET", "/rigs", access.SeeYard, "list-rigs", "The rigs, and why one is not in service."}, apiRigs)
	offer(s, api, operation{"GET", "/stations", access.SeeYard, "list-stations", "The stations, and why one can't be used now."}, apiStations)
	offer(s, api, operation{"GET", "/exercises", access.SeeWeek, "list-exercises", "The exercises that are taught."}, apiExercises)
	offer(s, api, operation{"GET", "/people", access.SeePeople, "list-people", "People by name, a page at a time."}, apiPeopleList)
	offer(s, api, operation{"GET", "/people/{person}", access.SeePerson, "see-person", "One person: enrolments, certificates, hours."}, apiPersonOf)
	offer(s, api, operation{"GET", "/intakes", access.SeeIntakes, "list-intakes", "The intakes that are not over, and how far each has come."}, apiIntakes)
	offer(s, api, operation{"GET", "/intakes/{intake}", access.SeeIntakes, "see-intake", "One intake with its trainees."}, apiIntakeOf)
	offer(s, api, operation{"GET", "/certificates", access.SeeCertificates, "list-certificates", "Certificates by last valid day, a page at a time."}, apiCertificates)
	offer(s, api, operation{"GET", "/entries", access.SeeEntries, "list-entries", "Entries of the ledger, in their order, a hundred at a time."}, apiEntries)
}

type PageAsked struct {
	Caller
	After string `query:"after" doc:"The member next of the page before"`
}

// Keys of pages hold what no address takes as it is.
func (p PageAsked) key() (string, error) {
	key, err := base64.RawURLEncoding.DecodeString(p.After)
	if err != nil {
		return "", fault.Field("after", "Send the member next of the page before as it was given.")
	}
	return string(key), nil
}

func nextKey(key string) string { return base64.RawURLEncoding.EncodeToString([]byte(key)) }

type peopleListAsked struct {
	PageAsked
	Name     string `query:"name" doc:"Part of a name"`
	Employer string `query:"employer"`
	Intake   string `query:"intake"`
}

type apiPersonRow struct {
	APINamed
	Employer string   `json:"employer,omitempty"`
	Intakes  []string `json:"intakes"`
	Staff    bool     `json:"staff"`
}

type apiPersonList struct {
	People []apiPersonRow `json:"people"`
	Next   string         `json:"next" doc:"Empty after the last page"`
}

func apiPeopleList(c *call, in *peopleListAsked) (apiPersonList, error) {
	out := apiPersonList{People: []apiPersonRow{}}
	key, err := in.key()
	if err != nil {
		return out, err
	}
	rows, next, err := c.Records.People(c.ctx, c.Actor, records.PersonFilter{NamePart: in.Name, Employer: id.Employer(in.Employer), Intake: id.Intake(in.Intake), AfterKey: key})
	for _, r := range rows {
		out.People = append(out.People, apiPersonRow{APINamed{string(r.Person.ID), r.Name}, string(r.Employer), texts(r.Intakes), r.Staff})
	}
	out.Next = nextKey(next)
	return out, err
}

type personAsked struct {
	Caller
	Person string `path:"person"`
}

type apiPerson struct {
	APINamed
	Employer     string           `json:"employer,omitempty" doc:"Name"`
	Staff        bool             `json:"staff"`
	Enrolments   []apiEnrolment   `json:"enrolments"`
	Certificates []apiCertificate `json:"certificates"`
	Minutes      int64            `json:"minutes" doc:"Credited, over all exercises"`
}

type apiEnrolment struct {
	Trainee string    `json:"trainee"`
	Intake  string    `json:"intake"`
	Needs   []apiNeed `json:"needs"`
}

type apiNeed struct {
	Exercise string `json:"exercise"`
	Name     string `json:"name"`
	Done     string `json:"done,omitempty" doc:"End of the session that completed it"`
	Booked   string `json:"booked,omitempty" doc:"Start of a session to come"`
}

func apiPersonOf(c *call, in *personAsked) (apiPerson, error) {
	p, err := c.Records.Person(c.ctx, c.Actor, id.Person(in.Person))
	if err != nil {
		return apiPerson{}, err
	}
	out := apiPerson{APINamed: APINamed{in.Person, p.Name}, Employer: p.Employer, Staff: p.Staff != nil, Minutes: int64(p.Total), Enrolments: []apiEnrolment{}, Certificates: []apiCertificate{}}
	for _, e := range p.Enrolments {
		one := apiEnrolment{string(e.Trainee.ID), string(e.Intake.ID), []apiNeed{}}
		for _, s := range e.Path {
			one.Needs = append(one.Needs, apiNeed{string(s.Exercise.ID), s.Name, c.moment(s.Done), c.moment(s.Booked)})
		}
		out.Enrolments = append(out.Enrolments, one)
	}
	for _, x := range p.Certificates {
		out.Certificates = append(out.Certificates, c.certificate(x, p.Name))
	}
	return out, nil
}

type apiCertificate struct {
	ID         string `json:"id"`
	Number     int    `json:"number"`
	Person     string `json:"person"`
	PersonName string `json:"person_name"`
	Kind       string `json:"kind"`
	Programme  string `json:"programme,omitempty"`
	Exercise   string `json:"exercise,omitempty"`
	State      string `json:"state"`
	From       string `json:"from"`
	Until      string `json:"until,omitempty" doc:"Last valid day; left out where no end is stated"`
	Valid      bool   `json:"valid" doc:"Today, by its own state and days; what it entitles to is for the rules to say"`
}

func (c *call) certificate(x credential.Certificate, name string) apiCertificate {
	out := apiCertificate{ID: string(x.ID), Number: x.Number, Person: string(x.Person), PersonName: name, Kind: string(x.Kind), Programme: string(x.Programme),
		Exercise: string(x.Exercise), State: string(x.State), From: x.From.String(), Valid: x.On(c.Today)}
	if x.Until != 0 {
		out.Until = x.Until.String()
	}
	return out
}

type certificatesAsked struct {
	PageAsked
	Employer  string `query:"employer"`
	Programme string `query:"programme"`
	Kind      string `query:"kind" enum:"programme,teaches,rescue,first-aid,medical,taken-over"`
	UntilFrom string `query:"until_from" doc:"Last valid day, from"`
	UntilTo   string `query:"until_to" doc:"Last valid day, to, counted"`
}

type apiCertificateList struct {
	Certificates []apiCertificate `json:"certificates"`
	Next         string           `json:"next" doc:"Empty after the last page"`
}

func apiCertificates(c *call, in *certificatesAsked) (apiCertificateList, error) {
	out := apiCertificateList{Certificates: []apiCertificate{}}
	key, err := in.key()
	if err != nil {
		return out, err
	}
	bad := fault.Fields{}
	f := records.CertificateFilter{Employer: id.Employer(in.Employer), Programme: id.Programme(in.Programme), Kind: credential.Kind(in.Kind), AfterKey: key,
		UntilFrom: dayOf("until_from", in.UntilFrom, bad), UntilTo: dayOf("until_to", in.UntilTo, bad)}
	if err := bad.Err(); err != nil {
		return out, err
	}
	rows, next, err := c.Records.Certificates(c.ctx, c.Actor, f)
	for _, r := range rows {
		out.Certificates = append(out.Certificates, c.certificate(r.Certificate, r.Name))
	}
	out.Next = nextKey(next)
	return out, err
}

type APIIntake struct {
	APINamed
	Employer  string `json:"employer" doc:"Name"`
	Programme string `json:"programme"`
	From      string `json:"from"`
	Until     string `json:"until"`
}

type apiIntakeRow struct {
	APIIntake
	Trainees int `json:"trainees"`
	Done     int `json:"done"`
	Of       int `json:"of" doc:"All their needs"`
}

type apiIntakeList struct {
	Intakes []apiIntakeRow `json:"intakes"`
}

func apiIntakes(c *call, _ *Caller) (apiIntakeList, error) {
	out := apiIntakeList{[]apiIntakeRow{}}
	var rows []records.IntakeRow
	err := c.atEntry(access.SeeIntakes, func(l *records.Lists) (err error) {
		rows, err = l.Intakes(c.Today)
		return err
	})
	for _, r := range rows {
		in := r.Intake
		out.Intakes = append(out.Intakes, apiIntakeRow{APIIntake{APINamed{string(in.ID), c.Ref.Text(in.Name)}, r.Employer, string(in.Programme), in.From.String(), in.Until.String()}, r.Trainees, r.Done, r.Of})
	}
	return out, err
}

type intakeAsked struct {
	Caller
	Intake string `path:"intake"`
}

type apiIntakeSheet struct {
	APIIntake
	Trainees []apiTrainee `json:"trainees"`
}

type apiTrainee struct {
	APINamed
	Person string   `json:"person"`
	Needs  []string `json:"needs"`
	Done   []string `json:"done"`
	Booked []string `json:"booked"`
}

func apiIntakeOf(c *call, in *intakeAsked) (apiIntakeSheet, error) {
	r, err := c.Records.Intake(c.ctx, c.Actor, id.Intake(in.Intake))
	if err != nil {
		return apiIntakeSheet{}, err
	}
	out := apiIntakeSheet{APIIntake{APINamed{string(r.Intake.ID), c.Ref.Text(r.Intake.Name)}, r.Employer, string(r.Intake.Programme), r.Intake.From.String(), r.Intake.Until.String()}, []apiTrainee{}}
	for _, t := range r.Trainees {
		one := apiTrainee{APINamed{string(t.Trainee.ID), t.Name}, string(t.Trainee.Person), texts(t.Trainee.Needs), []string{}, []string{}}
		for _, e := range t.Trainee.Needs {
			if _, done := t.Done[e]; done {
				one.Done = append(one.Done, string(e))
			} else if _, booked := t.Booked[e]; booked {
				one.Booked = append(one.Booked, string(e))
			}
		}
		out.Trainees = append(out.Trainees, one)
	}
	return out, nil
}

type entriesAsked struct {
	Caller
	From int64 `query:"from" minimum:"0" doc:"Index of the first entry"`
}

type apiEntry struct {
	Index int64           `json:"index"`
	Kind  string          `json:"kind"`
	ID    string          `json:"id"`
	Rev   int64           `json:"rev"`
	Act   string          `json:"act"`
	At    string          `json:"at"`
	Day   string          `json:"day" doc:"From which it counts"`
	Actor string          `json:"actor"`
	Role  string          `json:"role"`
	Body  json.RawMessage `json:"body" doc:"The whole new state of the record; texts are commitments"`
}

type apiEntryList struct {
	Entries []apiEntry `json:"entries"`
	All     int64      `json:"all" doc:"How many there are"`
}

const entriesAtOnce = 100

func apiEntries(c *call, in *entriesAsked) (apiEntryList, error) {
	list, all, err := c.Records.Entries(c.ctx, c.Actor, in.From, entriesAtOnce)
	out := apiEntryList{[]apiEntry{}, all}
	for _, e := range list {
		out.Entries = append(out.Entries, apiEntry{e.Index, e.Kind, e.ID, e.Rev, e.Act, e.RecordedAt, e.EffectiveDay.String(), string(e.Actor), e.Role, json.RawMessage(e.Body)})
	}
	return out, err
}
