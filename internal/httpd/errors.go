package httpd

import (
	"context"
	"errors"
	"maps"
	"net/http"
	"net/url"
	"slices"
	"strconv"

	"github.com/go-chi/chi/v5/middleware"

	"rungbook/internal/access"
	"rungbook/internal/fault"
	"rungbook/web/page"
	"rungbook/web/ui"
)

// status is the one translation of kinds of error into HTTP.
var status = map[fault.Kind]int{
	fault.Internal: http.StatusInternalServerError, fault.Invalid: http.StatusUnprocessableEntity,
	fault.NotFound: http.StatusNotFound, fault.Conflict: http.StatusConflict, fault.Forbidden: http.StatusForbidden,
	fault.Gone: http.StatusGone, fault.Refused: http.StatusUnprocessableEntity, fault.Unusable: http.StatusServiceUnavailable,
	fault.Busy: http.StatusServiceUnavailable,
}

var titles = map[fault.Kind]string{
	fault.Internal: "Something failed here", fault.Invalid: "This can't be used as sent", fault.NotFound: "Not found",
	fault.Conflict: "The record has moved on", fault.Forbidden: "Not yours to do", fault.Gone: "It has ended",
	fault.Refused: "Stops", fault.Unusable: "The record can't be written",
	fault.Busy: "Not saved yet",
}

// problem answers with the page of an error.
func (v *visit) problem(err error) {
	if errors.Is(err, errSignIn) {
		next := v.r.URL.RequestURI()
		if v.r.Method != http.MethodGet {
			next = "/"
		}
		http.Redirect(v.w, v.r, "/sign-in?next="+url.QueryEscape(next), http.StatusSeeOther)
		return
	}
	if errors.Is(err, context.Canceled) {
		return // the reader left
	}
	kind := fault.Of(err)
	if kind == fault.Forbidden && v.r.Method == http.MethodGet && v.r.URL.Path == "/" && access.May(v.actor, access.SeeOwnPath) {
		http.Redirect(v.w, v.r, "/path", http.StatusSeeOther) // a trainee's home is their own page
		return
	}
	p := page.Problem{Shell: v.page(titles[kind], ""), Title: titles[kind], Text: fault.Message(err),
		Back: ui.Link{Text: "Back to the yard", Href: "/"}}
	if kind == fault.Internal {
		request := middleware.GetReqID(v.r.Context())
		v.failed("internal error", err)
		p.Text = "This is our fault, not yours. Nothing was saved. Try again, and if it fails again tell your administrator the number below."
		p.Detail = "Request " + request
	}
	if kind == fault.Busy {
		v.w.Header().Set("Retry-After", strconv.Itoa(fault.After(err)))
		p.Again = v.sameAgain()
	}
	if showErr := v.show(status[kind], page.ProblemPage(p)); showErr != nil {
		v.failed("error page", showErr)
		http.Error(v.w, p.Text, status[kind])
	}
}

// sameAgain is a form that sends once more what was sent, with its key: what was
// typed is not lost. A form with a password is not repeated on a page.
func (v *visit) sameAgain() ui.Form {
	if v.r.Method != http.MethodPost || v.r.PostForm.Has("password") {
		return ui.Form{}
	}
	again := ui.Form{Action: v.r.URL.RequestURI(), Button: "Send it again"}
	for _, name := range slices.Sorted(maps.Keys(v.r.PostForm)) {
		for _, value := range v.r.PostForm[name] {
			again.Hidden = append(again.Hidden, ui.Value{Name: name, Value: value})
		}
	}
	return again
}

// formErrors returns the sentence of each field of a form error.
func formErrors(err error) (fault.Fields, bool) {
	var form *fault.Form
	if errors.As(err, &form) {
		return form.Fields, true
	}
	var one *fault.Error
	if errors.As(err, &one) && one.Kind == fault.Invalid && one.Field != "" {
		return fault.Fields{one.Field: one.Message}, true
	}
	return nil, false
}

func notFound(v *visit) error {
	return fault.New(fault.NotFound, "There is no page at this address.")
}
