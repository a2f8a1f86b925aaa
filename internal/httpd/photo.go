package httpd

import (
	"fmt"
	"net/http"
	"net/url"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/rig"
	"rungbook/internal/running"
	"rungbook/internal/safekeeping"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// photoRoutes are pictures of what was checked.
func photoRoutes() []route {
	return []route{
		{post, "/yard/sessions/{session}/photo", access.RunSession, sendPhoto},
		{get, "/sessions/{session}/photos/{photo}/file", access.SeeSession, photoFile},
	}
}

// photoHref leads to a photo of a session.
func photoHref(of id.Session, x session.Photo) string {
	return "/sessions/" + string(of) + "/photos/" + x.Hash + "/file"
}

// photos lists what is kept, and asks for one more where the check is still done.
func (v *visit) photos(shown running.Shown, asked []session.ToCheck, may bool, typed url.Values, bad fault.Fields) *page.Photos {
	p := &page.Photos{}
	by := func(x session.Photo) string { return v.ref.StaffName(x.Done.By) + ", " + v.words.Moment(x.Done.At) }
	for _, x := range shown.Prepared.Photos {
		p.Kept = append(p.Kept, page.PhotoKept{File: ui.Link{Text: fmt.Sprintf("Photo of %s (%s)", v.checkedName(shown, x.Of), sizeWords(x.Bytes)), Href: photoHref(shown.Session.ID, x)}, By: by(x)})
	}
	if may && len(p.Kept) < session.MostPhotos {
		p.Form = ui.Form{Action: "/yard/sessions/" + string(shown.Session.ID) + "/photo", Key: v.freshKey(), Button: "Keep the photo", Label: "Add a photo",
			Hidden: []ui.Value{{Name: "rev", Value: fmt.Sprint(shown.Row.Rev)}}}
		p.Of = ui.Field{Name: "of", Label: "What it shows", Kind: ui.Select, Required: true, Options: []ui.Option{{Label: "Choose"}}, Error: bad["of"]}
		for _, a := range asked {
			p.Of.Options = append(p.Of.Options, ui.Option{Value: a.Of, Label: v.checkedName(shown, a.Of), Chosen: typed.Get("of") == a.Of})
		}
		p.Largest, p.FileError = fmt.Sprintf("%d MB", rig.MaxFile>>20), bad["file"]
		p.Form.Errors = ui.Errors([]ui.Field{p.Of, {Name: "file", Label: "Picture", Error: p.FileError}})
	}
	if len(p.Kept) == 0 && p.Form.Action == "" {
		return nil
	}
	return p
}

// sendPhoto keeps a picture; where it is refused the check's page is shown again.
func sendPhoto(v *visit) error {
	f, file, err := readUpload(v.r)
	if err != nil {
		return err
	}
	if f.Get("key") == "" {
		f.Set("key", v.ids.New())
	}
	if file.large {
		err = fault.Field("file", "The picture has more than %d MB. Take it with fewer dots.", rig.MaxFile>>20)
	} else {
		send := running.Send{Key: f.Get("key"), Rev: numberField(f, "rev")}
		err = v.Running.Photograph(v.r.Context(), v.actor, v.runID(), send, f.Get("of"), file.data)
	}
	if bad, ok := formErrors(err); ok {
		check := befores()[0]
		check.fill = func(v *visit, shown running.Shown, p *page.Before) error { return v.fillCheck(shown, p, f, bad) }
		return check.sheet(v, http.StatusUnprocessableEntity, nil, nil)
	}
	if err != nil {
		return err
	}
	return v.goTo("/yard/sessions/"+string(v.runID())+"/pre-use#photos", "The photo is kept."+file.without())
}

func photoFile(v *visit) error {
	x, err := v.Running.Photo(v.r.Context(), v.actor, v.runID(), v.param("photo"))
	if err != nil {
		return err
	}
	return v.handOut(x.Type, "photo "+v.words.Moment(x.Done.At), x.Data)
}

func sizeWords(bytes int) string { return safekeeping.InBytes(int64(bytes)) }
