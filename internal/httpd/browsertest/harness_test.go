//go:build browser

package browsertest

import (
	"bytes"
	"fmt"
	"image/png"
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"
)

func TestMain(m *testing.M) { os.Exit(Run(m)) }

// The tests of this file hold the harness itself to account, on pages of their
// own that have just the fault, or just the virtue, that is looked for.

const soundPage = `<!doctype html><html lang="en"><head><title>Week</title>
<meta name="viewport" content="width=device-width"><link rel="icon" href="data:,">
<link rel="stylesheet" href="/style.css"></head>
<body><nav aria-label="Main"><a href="/">Yard</a> <a href="/week/2027-W09">Week</a></nav>
<main><h1>Week 9</h1>
<form method="post" action="/book">
<p><label for="name">Name</label> <input id="name" name="name" aria-describedby="name-hint"><span id="name-hint">As on the card</span></p>
<p><label for="day">First day</label> <input id="day" name="day" type="date"></p>
<p><label for="ex">Exercise</label> <select id="ex" name="ex"><option>Harness basics</option><option>Rescue from height</option></select></p>
<p><label><input type="checkbox" name="ok" value="yes"> Accept</label></p>
<button>Book</button></form>
<table><caption>Stations</caption><tr><th scope="col">Station</th><th scope="col">State</th></tr>
<tr><th scope="row">Deck north</th><td><a href="/stations/1">Open</a></td></tr>
<tr><th scope="row">Deck south</th><td><a href="/stations/2">Open</a></td></tr></table>
<p id="theme"></p><script src="/enhance.js"></script></main></body></html>`

const soundStyle = `:root{color-scheme:light dark;background:light-dark(#fff,#111);color:light-dark(#111,#eee)}
a,button,input,select,label{display:inline-block;min-height:30px;min-width:30px;color:inherit} :focus-visible{outline:3px solid}
a{text-decoration:underline} @media (prefers-color-scheme:dark){#theme::after{content:"night"}} @page{size:A4;margin:20mm}`

const policy = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; form-action 'self'; connect-src 'self'"

// yard serves one page at "/" and what the pages above need beside it.
func yard(t *testing.T, body string) *Program {
	t.Helper()
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", policy)
		fmt.Fprint(w, body)
	})
	mux.HandleFunc("GET /style.css", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/css")
		fmt.Fprint(w, soundStyle)
	})
	mux.HandleFunc("GET /enhance.js", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Type", "text/javascript")
		fmt.Fprint(w, `document.getElementById("theme").textContent = "script runs"`)
	})
	mux.HandleFunc("POST /book", func(w http.ResponseWriter, r *http.Request) {
		if r.FormValue("name") == "" {
			w.WriteHeader(http.StatusUnprocessableEntity)
			fmt.Fprint(w, strings.Replace(soundPage, `aria-describedby="name-hint"`, `aria-invalid="true" aria-describedby="name-error name-hint"`, 1)+`<p id="name-error">Who comes?</p>`)
			return
		}
		http.Redirect(w, r, "/booked?"+r.Form.Encode(), http.StatusSeeOther)
	})
	mux.HandleFunc("GET /booked", func(w http.ResponseWriter, r *http.Request) {
		fmt.Fprintf(w, `<!doctype html><title>Booked</title><link rel="icon" href="data:,"><h1>Booked</h1><p>%s on %s: %s, accepted %s</p>`,
			r.FormValue("name"), r.FormValue("day"), r.FormValue("ex"), r.FormValue("ok"))
	})
	server := httptest.NewServer(mux)
	t.Cleanup(server.Close)
	return At(server.URL)
}

func TestAFormIsFilledAndSentInEveryLook(t *testing.T) {
	t.Parallel()
	for _, look := range EveryLook {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := yard(t, soundPage).Open(t, look)
			p.Go("/")
			p.WantH1("Week 9")
			if ran := strings.Contains(p.Text(), "script runs"); ran != look.Script {
				t.Errorf("script ran: %v, want %v", ran, look.Script)
			}
			p.WantSound()
			p.WantAccessible()
			p.Click("button", "Book")
			p.WantStatus(422)
			p.WantFieldError("Name", "Who comes?")

			p.Fill("Name", "Ngozi Ó Briain")
			p.Fill("First day", "2027-03-02")
			p.Choose("Exercise", "Rescue")
			p.Check("Accept")
			if got := p.Value("Name"); got != "Ngozi Ó Briain" {
				t.Errorf("Name holds %q", got)
			}
			if !p.Checked("Accept") {
				t.Error("Accept is not ticked")
			}
			p.Click("button", "Book")
			p.WantStatus(200)
			p.WantPath("/booked")
			p.WantText("Ngozi Ó Briain on 2027-03-02: Rescue from height, accepted yes")
		})
	}
}

func TestAFormIsFilledByKeyboardAlone(t *testing.T) {
	t.Parallel()
	p := yard(t, soundPage).Open(t, Desktop)
	p.Go("/")
	p.TabTo("textbox", "Name")
	p.Type("Okafor")
	p.TabTo("combobox", "Exercise")
	p.Press("ArrowDown")
	p.TabTo("checkbox", "Accept")
	p.Press("Space")
	p.TabTo("button", "Book")
	p.Press("Enter")
	p.WantText("Okafor on : Rescue from height, accepted yes")
}

func TestAPartOfThePageIsNamedByRoleAndName(t *testing.T) {
	t.Parallel()
	p := yard(t, soundPage).Open(t, Desktop)
	p.Go("/")
	if got, want := fmt.Sprint(p.Within("navigation", "Main").Names("link")), "[Yard Week]"; got != want {
		t.Errorf("links are %s, want %s", got, want)
	}
	if got, want := p.Within("row", "Deck south").Text(), "Deck south Open"; got != want {
		t.Errorf("the row says %q, want %q", got, want)
	}
	if p.Has("link", "Open") {
		t.Error("two links are named Open, and one was taken")
	}
	if !p.Within("row", "Deck south").Has("link", "Open") {
		t.Error("the row has no link Open")
	}
	if got, want := fmt.Sprint(p.Links()), "[/ /week/2027-W09 /stations/1 /stations/2]"; got != want {
		t.Errorf("links are %s, want %s", got, want)
	}
	if got := Shape("/week/2027-W09?rig=2"); got != "/week/*" {
		t.Errorf("shape is %s", got)
	}
}

func TestTheFocusIsFollowedThroughThePage(t *testing.T) {
	t.Parallel()
	p := yard(t, soundPage).Open(t, Desktop)
	p.Go("/")
	// Two links above, five fields and buttons, two links in the table.
	if got := p.WalkFocus(); got != 9 {
		t.Errorf("the focus stops %d times, want 9", got)
	}
}

func TestThePageIsDarkOnRequest(t *testing.T) {
	t.Parallel()
	for _, look := range []Look{Desktop, Desktop.Dark()} {
		p := yard(t, soundPage).Open(t, look)
		p.Go("/")
		got := Eval[string](p, "getComputedStyle(document.documentElement).backgroundColor")
		want := "rgb(255, 255, 255)"
		if look.dark {
			want = "rgb(17, 17, 17)"
		}
		if got != want {
			t.Errorf("%s: background is %s, want %s", look.Name, got, want)
		}
		p.WantAccessible()
	}
}

func TestAPictureHoldsTheWholePage(t *testing.T) {
	t.Parallel()
	p := yard(t, strings.Replace(soundPage, "<table>", strings.Repeat("<p>line</p>", 100)+"<table>", 1)).Open(t, Phone)
	p.Go("/")
	data, err := p.Picture()
	if err != nil {
		t.Fatal(err)
	}
	picture, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if size := picture.Bounds().Size(); size.X != Phone.Width || size.Y < 3000 {
		t.Errorf("the picture is %v", size)
	}
}
