package safekeeping

import (
	"slices"

	"rungbook/internal/access"
	"rungbook/internal/civil"
)

// Standing is how a server's backups stand.
type Standing struct {
	Now civil.Instant // when this was so
	Set bool          // a folder was said
	Dir string
	Schedule
	Key       bool
	Encrypted bool // the next one will be

	Loud     Loud
	Last     Found // the last good one; zero for none
	HasLast  bool
	List     []Found // newest first
	Strays   int     // files in the folder that are no backups
	Trouble  string  // why the folder can't be read
	Looked   bool    // the folder was read since the server started
	Due      civil.Instant
	Making   civil.Instant // since when one is being made; 0 = none is
	Failures []Failure     // newest first; also those of an earlier server
	InRow    int           // failures since the last good one
	OneDisk  bool          // the folder lies on the same disk as the record
}

// Standing returns how the backups stand. Error: fault.Forbidden.
func (d *Desk) Standing(actor access.Actor) (Standing, error) {
	if _, err := access.Require(actor, access.SeeBackups); err != nil {
		return Standing{}, err
	}
	return d.standing(), nil
}

// LastGood is when the last good backup was made; 0 = none is known.
func (d *Desk) LastGood() civil.Instant {
	if d.plan.To == "" {
		return 0
	}
	return d.standing().Last.Made
}

func (d *Desk) standing() Standing {
	now := d.now()
	s := Standing{Now: now, Set: d.plan.To != "", Dir: d.plan.To, Schedule: d.plan.Schedule, Key: d.plan.Key, Loud: NoSchedule}
	if !s.Set {
		return s
	}
	if passphrase, err := d.plan.Passphrase(); err == nil {
		s.Encrypted = passphrase != ""
	}
	var err error
	s.List, s.Strays, err = d.folder.List()
	s.Last, s.HasLast = LastGood(s.List, now)
	s.Loud = d.plan.loud(s.List, now)
	if err != nil {
		s.Loud, s.Trouble = NoFolder, plain(err).Error()
	}
	s.OneDisk, _ = oneDisk(d.plan.Data, d.plan.To)
	d.mu.Lock()
	defer d.mu.Unlock()
	s.Looked, s.Making, s.InRow, s.Failures = d.looked, d.making, d.inRow, slices.Clone(d.failures)
	s.Due = d.dueAfter(s.List, now)
	return s
}
