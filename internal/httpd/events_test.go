package httpd

import (
	"context"
	"net/http"
	"net/http/httptest"
	"testing"

	"rungbook/web/page"
)

// stream returns what a visit sends as events.
func stream(t *testing.T, send func(events, context.Context) error) *httptest.ResponseRecorder {
	t.Helper()
	w := httptest.NewRecorder()
	v := &visit{w: w, r: httptest.NewRequest(http.MethodGet, "/drafts/d/progress", nil)}
	e, ctx, end, err := v.events()
	if err != nil {
		t.Fatal(err)
	}
	defer end()
	if err := send(e, ctx); err != nil {
		t.Fatal(err)
	}
	return w
}

func TestEventsKeepEachLineOfTheirData(t *testing.T) {
	cases := []struct{ name, data, want string }{
		{"one line", "<p>80 placed</p>", "event: look\ndata: <p>80 placed</p>\n\n"},
		{"lines of any system", "a\nb\r\n\nc", "event: look\ndata: a\ndata: b\ndata: \ndata: c\n\n"},
		{"nothing that could be taken for an event", "x\nevent: end", "event: look\ndata: x\ndata: event: end\n\n"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			w := stream(t, func(e events, _ context.Context) error { return e.send("look", c.data) })
			if got := w.Body.String(); got != "retry: 500\n\n"+c.want {
				t.Errorf("sent %q", got)
			}
		})
	}
}

func TestEventsAreSentAtOnceAndHeldByNobody(t *testing.T) {
	w := stream(t, func(e events, ctx context.Context) error {
		return e.draw(ctx, "look", page.DraftLookAt(page.DraftLook{Say: "Searching"}))
	})
	if !w.Flushed || w.Header().Get("Content-Type") != "text/event-stream; charset=utf-8" || w.Header().Get("X-Accel-Buffering") != "no" {
		t.Errorf("flushed %t, headers %v", w.Flushed, w.Header())
	}
}
