package httpd

import (
	"net/http"
	"strings"
	"testing"

	"rungbook/internal/access"
	"rungbook/internal/booking"
	"rungbook/internal/session"
	"rungbook/web/page"
	"rungbook/web/ui"
)

func TestNothingNeedsAttentionIsSaidOnlyWhereNothingDoes(t *testing.T) {
	overdue := []ui.Notice{{Word: "Overdue", Text: "13 completions are to be reported."}}
	shifted := booking.Attention{Shifted: make([]session.Session, 1)}
	for name, c := range map[string]struct {
		a    booking.Attention
		p    page.Attention
		says string
	}{
		"nothing":               {says: "Nothing needs attention."},
		"a notice alone":        {p: page.Attention{Notices: overdue}, says: "Only what stands right below."},
		"plans and a session":   {a: shifted, p: page.Attention{Notices: overdue, Rescue: make([]page.YardWaiting, 2)}, says: "1 session whose local time has changed. 2 rescue plans are to be looked at."},
		"what pages alone know": {p: page.Attention{Dossiers: make([]page.AttentionDossier, 1), Again: make([]page.AttentionSession, 1)}, says: "1 dossier asks for something. 1 session left somebody waiting for another time."},
	} {
		if got := attentionFinding(c.a, c.p); got != c.says {
			t.Errorf("%s: %q, want %q", name, got, c.says)
		}
	}
}

func TestTheHeadingOfWhatNeedsAttentionStandsAboveItsNotices(t *testing.T) {
	s := open(t)
	w := s.as(access.Administrator).get("/attention")
	_, after, ok := strings.Cut(w.Body.String(), "<h1>")
	if w.Code != http.StatusOK || !ok || strings.Contains(strings.SplitN(w.Body.String(), "<h1>", 2)[0], `class="notice`) {
		t.Errorf("%d, a notice stands above the heading", w.Code)
	}
	if !strings.Contains(after, "first answer was due by") {
		t.Error("the notices are gone")
	}
}
