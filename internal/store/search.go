package store

import (
	"database/sql"
	"slices"
	"strconv"
	"strings"

	"rungbook/internal/id"
)

// Hit is one thing found by a search.
type Hit struct {
	Kind   string // "person", "certificate", "station", "exercise" or "session"
	ID     string
	Text   string // what it is called
	Detail string // what tells it from others of the same name
}

// Search finds people, stations and exercises by a part of their name,
// certificates by number, and the sessions to come of a station or exercise
// found; at most limit (0 = 50) hits in all, in that order. Case and accents
// don't matter.
func (v *View) Search(q string, limit int) ([]Hit, error) {
	part := fold(q)
	if part == "" {
		return nil, nil
	}
	limit = limitOf(limit)
	var out []Hit
	for _, find := range []func(string, int) ([]Hit, error){v.findCertificate, v.findPeople, v.findPlaces} {
		hits, err := find(part, limit)
		if err != nil {
			return nil, err
		}
		out = append(out, hits...)
	}
	return out[:min(len(out), limit)], nil
}

func (v *View) findCertificate(part string, _ int) ([]Hit, error) {
	n, err := strconv.Atoi(part)
	if err != nil || n <= 0 {
		return nil, nil
	}
	return list(v, func(rows *sql.Rows) (h Hit, err error) {
		h.Kind, h.Text = "certificate", part
		err = rows.Scan(&h.ID, &h.Detail)
		return h, err
	}, `SELECT c.id, coalesce((SELECT value FROM private_value WHERE commitment = p.name), '')
		FROM certificate AS c CROSS JOIN person AS p ON p.id = c.person
		WHERE c.number = ?3 AND `+v.at("c")+` AND `+v.at("p"), n)
}

func (v *View) findPeople(part string, limit int) ([]Hit, error) {
	rows, _, err := v.Persons(PersonFilter{NamePart: part, Limit: limit})
	if err != nil {
		return nil, err
	}
	r, err := v.Reference()
	if err != nil {
		return nil, err
	}
	var out []Hit
	for _, p := range rows {
		e, _ := r.Employers.On(p.Employer, v.day)
		out = append(out, Hit{"person", string(p.Person.ID), p.Name, r.Text(e.Name)})
	}
	return out, nil
}

// findPlaces finds stations and exercises, and their sessions to come.
func (v *View) findPlaces(part string, limit int) ([]Hit, error) {
	r, err := v.Reference()
	if err != nil {
		return nil, err
	}
	var out []Hit
	var of []string
	for _, s := range r.Stations.All(v.day) {
		if name := r.Text(s.Name); strings.Contains(fold(name), part) {
			rig, _ := r.Rigs.On(s.Rig, v.day)
			out, of = append(out, Hit{"station", string(s.ID), name, r.Text(rig.Name)}), append(of, string(s.ID))
		}
	}
	for _, e := range r.Exercises.All(v.day) {
		if name := r.Text(e.Name); strings.Contains(fold(name), part) {
			out, of = append(out, Hit{"exercise", string(e.ID), name, ""}), append(of, string(e.ID))
		}
	}
	if len(of) == 0 {
		return nil, nil
	}
	sessions, err := v.BookedAfter(v.now)
	if err != nil {
		return nil, err
	}
	for _, s := range sessions {
		if len(out) >= limit {
			break
		}
		if slices.Contains(of, string(s.Exercise)) || slices.Contains(of, string(s.Station)) {
			out = append(out, Hit{"session", string(s.ID), v.exerciseName(r, s.Exercise), v.zone.Format(s.Start)})
		}
	}
	return out, nil
}

func (v *View) exerciseName(r *Reference, of id.Exercise) string {
	e, _ := r.Exercises.On(of, v.day)
	return r.Text(e.Name)
}
