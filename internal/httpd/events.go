package httpd

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"strings"
	"time"

	"github.com/a-h/templ"
)

const (
	// A stream ends by itself before the server's write timeout would cut it; the
	// browser comes back and goes on.
	streamLife = 45 * time.Second
	// comesBack is after how many milliseconds a browser asks again.
	comesBack = 500
)

// events is a stream of server-sent events (HTML Standard, section 9.2) as an
// EventSource reads it.
type events struct {
	w       http.ResponseWriter
	control *http.ResponseController
}

// events begins a stream. ctx ends with the reader or with the stream's life.
func (v *visit) events() (e events, ctx context.Context, end context.CancelFunc, err error) {
	h := v.w.Header()
	h.Set("Content-Type", "text/event-stream; charset=utf-8")
	h.Set("X-Accel-Buffering", "no") // asks a proxy not to hold events back
	e = events{v.w, http.NewResponseController(v.w)}
	ctx, end = context.WithTimeout(v.r.Context(), streamLife)
	return e, ctx, end, e.write(fmt.Sprintf("retry: %d\n\n", comesBack))
}

// send sends one event. Each line of its data stands in a field of its own.
func (e events) send(name, data string) error {
	var b strings.Builder
	b.WriteString("event: " + name + "\n")
	for line := range strings.Lines(data) {
		b.WriteString("data: " + strings.TrimRight(line, "\r\n") + "\n")
	}
	b.WriteString("\n")
	return e.write(b.String())
}

// draw sends a part of a page as an event.
func (e events) draw(ctx context.Context, name string, c templ.Component) error {
	var b bytes.Buffer
	if err := c.Render(ctx, &b); err != nil {
		return fmt.Errorf("draw event %s: %w", name, err)
	}
	return e.send(name, b.String())
}

func (e events) write(text string) error {
	if _, err := e.w.Write([]byte(text)); err != nil {
		return fmt.Errorf("stream: %w", err)
	}
	return e.control.Flush()
}
