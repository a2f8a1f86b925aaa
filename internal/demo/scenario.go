package demo

import (
	"fmt"
	"math/rand/v2"
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/credential"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/rulebook"
)

// Config says which demo is made.
type Config struct {
	Today civil.Day
	Seed  uint64
	Years int // of history before today; 0 counts as 2
	Scale int // how many times as many past intakes as the yard had, for measuring; 0 counts as 1
}

// Fact is one record as it stands from a day on.
type Fact struct {
	Day    civil.Day // from which it counts
	By     id.Person // who wrote it down
	Act    string
	Record any // a record of the domain by value, its commitments still plain text
	stage  stage
}

// stage orders the facts of one day by what they rest on.
type stage int

const (
	groundwork stage = iota // the yard, its rules, its people
	upkeep                  // inspections, drills, shut stations, duties
	enrolling               // intakes, trainees and what they bring
	booking                 // sessions booked, pencilled or stood down
	signing                 // sessions signed, attendance and results
	certifying              // certificates given
)

// Scenario is the whole demo before it is written down. Wherever a record has a
// commitment, it holds the plain text itself until Fill seals it.
type Scenario struct {
	Today  civil.Day
	Monday civil.Day // of the week that the demo shows first
	Zone   civil.Zone
	Facts  []Fact // in the order in which they are to be written

	administrator id.Person
	reader        id.Person // the instructor whose account visitors use
	logins        []login
	papers        [][]byte // the files of dossiers
}

// login is an account with the e-mail address that opens it.
type login struct {
	account id.Account
	email   string
}

// builder makes a scenario. Its parts are laid in the order of New.
type builder struct {
	Config
	zone     civil.Zone
	monday   civil.Day // of the running week
	first    civil.Day // first day of the yard's history
	rand     *rand.Rand
	maker    *id.Maker
	given    map[string]string // kind and key → id
	closed   map[civil.Day]string
	yard     rig.Yard
	books    []rulebook.Version
	records  rig.Records
	register *rig.Register
	facts    []Fact

	exercises  map[string]*exercise
	programmes map[string]*programme
	staff      []*member
	diary      *diary
	employers  []id.Employer
	former     []*person                 // people who were trained here, in the order of their first intake
	intakes    int                       // counted for their names
	awards     []*credential.Certificate // for programmes, to be numbered
	brought    []brought                 // certificates from elsewhere
	replaced   []brought                 // certificates that a refresher renewed, and when
	runs       []*run                    // every session
	young      map[id.Person]bool        // under 18
	special    []newcomerRow             // who the next newcomers are to be
	spoiltOne  bool                      // the running Tuesday has its session stood down
	handed     int                       // harnesses that trainees hold
	logins     []login
	papers     [][]byte
	err        error // the first that a part met
}

// New invents the yard as it stands on a day. The same config gives the same
// scenario.
func New(c Config) (*Scenario, error) {
	if c.Years == 0 {
		c.Years = 2
	}
	c.Scale = max(c.Scale, 1)
	b := &builder{
		Config: c, zone: Zone(),
		rand:  rand.New(rand.NewPCG(c.Seed, uint64(c.Today))),
		given: map[string]string{}, exercises: map[string]*exercise{}, programmes: map[string]*programme{},
		young: map[id.Person]bool{},
	}
	var key [32]byte
	for i := range key {
		key[i] = byte(b.rand.Uint32())
	}
	b.maker = id.NewMaker(rand.NewChaCha8(key))
	apart := b.reserveConversion()
	b.layCalendar()
	b.layPlace()
	b.layRules()
	b.layRigs()
	b.layTeaching()
	b.layStaff()
	b.layUpkeep()
	b.layDossiers()
	b.openDiary()
	b.layTimes()
	b.playHistory()
	b.playPresent()
	b.writeSessions()
	b.writeCertificates()
	b.layAccounts()
	b.layWeather()
	b.layCheckLists()
	b.aroundTheYard()
	b.layEnergy()
	b.layWritten()
	b.layConversion(apart)
	b.layOutOfDate(apart)
	b.layComplaints()
	if b.err != nil {
		return nil, fmt.Errorf("invent the yard of %s: %w", c.Today, b.err)
	}
	slices.SortStableFunc(b.facts, func(x, y Fact) int {
		if x.Day != y.Day {
			return int(x.Day - y.Day)
		}
		return int(x.stage - y.stage)
	})
	return &Scenario{Today: c.Today, Monday: b.monday, Zone: b.zone, Facts: b.facts, administrator: b.person(administrator), reader: b.person(demoInstructor), logins: b.logins, papers: b.papers}, nil
}

// Records returns the last version of each record of a type, in the order in
// which they first appear. key tells records apart.
func Records[T any, K comparable](s *Scenario, key func(T) K) []T {
	at := map[K]int{}
	var out []T
	for _, f := range s.Facts {
		r, ok := f.Record.(T)
		if !ok {
			continue
		}
		if i, seen := at[key(r)]; seen {
			out[i] = r
			continue
		}
		at[key(r)] = len(out)
		out = append(out, r)
	}
	return out
}

// note keeps the first error that a part met; the demo is not made with one.
func (b *builder) note(err error) {
	if b.err == nil {
		b.err = err
	}
}

// write adds a fact.
func (b *builder) write(s stage, d civil.Day, by id.Person, act string, record any) {
	b.facts = append(b.facts, Fact{Day: d, By: by, Act: act, Record: record, stage: s})
}

// idOf returns the id of the thing that the tables call key, a new one at its
// first use. Ids are random and say nothing of the key.
func idOf[T ~string](b *builder, kind, key string) T {
	name := kind + " " + key
	if b.given[name] == "" {
		b.given[name] = b.maker.New()
	}
	return T(b.given[name])
}

func idsOf[T ~string](b *builder, kind string, keys []string) []T {
	out := make([]T, len(keys))
	for i, k := range keys {
		out[i] = idOf[T](b, kind, k)
	}
	slices.Sort(out)
	return out
}

// fresh returns a new id for a thing that no table names.
func fresh[T ~string](b *builder) T { return T(b.maker.New()) }

// text stands where a commitment will be.
func text(s string) id.Commitment { return id.Commitment(s) }
