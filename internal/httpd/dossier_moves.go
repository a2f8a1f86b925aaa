package httpd

import (
	"net/http"
	"net/url"
	"path/filepath"
	"strings"

	"rungbook/internal/dossiers"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
)

// putInEvidence takes a paper with its file. The parts are read as they come, so that
// nothing of them is put on a disk before the file is known to be one that is taken.
func putInEvidence(v *visit) error {
	of, point := id.Rig(v.param("rig")), rig.Point(v.param("point"))
	f, file, err := readUpload(v.r)
	if err != nil {
		return err
	}
	bad := fault.Fields{}
	g := dossiers.Given{Rig: of, Point: point, Name: file.name, Data: file.data}
	g.Done, g.Until = dayField(f, "done", bad), dayField(f, "until", bad)
	g.By, g.Authority = f.Get("by"), f.Get("authority")
	for n := range point.Asks() {
		g.Answers = append(g.Answers, f.Get(dossiers.Field(n)))
	}
	if file.large {
		bad.Add("file", "The file has more than %d MB. Scan it with fewer dots, or split it.", rig.MaxFile>>20)
	}
	if err = bad.Err(); err == nil {
		key := f.Get("key")
		if key == "" {
			key = v.ids.New()
		}
		err = v.Dossiers.PutIn(v.r.Context(), v.actor, g, key)
	}
	if fields, ok := formErrors(err); ok {
		return v.evidenceSheet(http.StatusUnprocessableEntity, of, point, sent{"add", f, fields})
	}
	if err != nil {
		return err
	}
	return v.goTo(pointHref(of, point), "Put in. It counts once somebody else accepts it."+file.without())
}

// evidenceFile hands a file out as it was put in: always to be saved, never to be
// shown as a page of ours.
func evidenceFile(v *visit) error {
	file, err := v.Dossiers.File(v.r.Context(), v.actor, id.Evidence(v.param("evidence")))
	if err != nil {
		return err
	}
	name := strings.TrimSuffix(file.Name, filepath.Ext(file.Name))
	if name == "" {
		name = "evidence"
	}
	return v.handOut(file.Type, name, file.Data)
}

func acceptEvidence(v *visit) error {
	return v.decideEvidence("accept", "Accepted.", func(f url.Values, of id.Evidence) error {
		return v.Dossiers.Accept(v.r.Context(), v.actor, of, f.Get("looked") == "yes", v.key())
	})
}

func refuseEvidence(v *visit) error {
	return v.decideEvidence("refuse", "Refused.", func(f url.Values, of id.Evidence) error {
		return v.Dossiers.Refuse(v.r.Context(), v.actor, of, f.Get("why"), v.key())
	})
}

func revokeEvidence(v *visit) error {
	return v.decideEvidence("revoke", "Revoked. Bookings on this rig stop.", func(f url.Values, of id.Evidence) error {
		return v.Dossiers.Revoke(v.r.Context(), v.actor, of, f.Get("why"), v.key())
	})
}

// decideEvidence runs one form about a paper.
func (v *visit) decideEvidence(form, done string, do func(url.Values, id.Evidence) error) error {
	f, err := v.form()
	if err != nil {
		return err
	}
	of := id.Evidence(v.param("evidence"))
	err = do(f, of)
	fields, invalid := formErrors(err)
	if err != nil && !invalid {
		return err
	}
	e, found := v.Dossiers.Of(v.r.Context(), v.actor, of)
	if found != nil {
		return found
	}
	if invalid {
		return v.evidenceSheet(http.StatusUnprocessableEntity, e.Rig, e.Point, sent{form + string(of), f, fields})
	}
	return v.goTo(pointHref(e.Rig, e.Point), done)
}
