//go:build browser

package browsertest

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// mostShapes bounds the walk through the program; it has fewer kinds of page.
const mostShapes = 160

// survey follows the links of the program from its home page, and returns one
// address of each kind of page that the role meets, in the order met.
func survey(p *Page) []string {
	p.t.Helper()
	met := map[string]bool{"/": true}
	paths := []string{"/"}
	for i := 0; i < len(paths); i++ {
		p.Go(paths[i])
		if p.Status() >= 400 {
			p.t.Errorf("a link leads to %s, which was answered with %d", paths[i], p.Status())
			continue
		}
		for _, link := range p.Links() {
			if strings.HasPrefix(link, "/api/") {
				continue // for programs: no page
			}
			if shape := Shape(link); !met[shape] {
				met[shape] = true
				paths = append(paths, link)
			}
		}
		if len(paths) > mostShapes {
			p.t.Fatalf("the program seems to have more than %d kinds of page: %s", mostShapes, strings.Join(paths, " "))
		}
	}
	return paths
}

// pictureName makes a file's name of a kind of page: "/week/*" is "week-one".
func pictureName(path string) string {
	name := strings.Trim(strings.ReplaceAll(Shape(path), "*", "one"), "/")
	if name == "" {
		return "yard"
	}
	return strings.ReplaceAll(name, "/", "-")
}

// intakeName is the name of an intake in the list of those that can be planned.
var intakeName = regexp.MustCompile(`^(.+?) \d+ trainees?, `)

// furnish makes what a walk is to meet and the demo has not: a station out of use
// in the days to come, and two drafts, of which the newer leaves out what a few days
// can't take.
func (p *Page) furnish() {
	p.t.Helper()
	p.Go("/")
	when, station := p.bookedSession()
	p.Go("/mend")
	p.Unfold("A station can’t be used")
	p.shut(station, when)
	p.Go("/plan")
	open := slices.DeleteFunc(p.Within("group", "Intakes").Names("checkbox"), func(name string) bool { return strings.Contains(name, "nothing left to plan") })
	p.Click("button", "Start the search")
	p.stopEarly()
	p.Go("/intakes")
	p.Click("link", intakeName.FindStringSubmatch(open[len(open)-1])[1])
	p.Click("link", "Plan this intake")
	p.Fill("Until", later(p.t.(*testing.T), p.Value("From"), 3))
	p.Click("button", "Start the search")
	p.stopEarly()
}

// TestEveryPageIsSoundInEveryLook visits each kind of page that an
// administrator meets, as it is at 320 to 1920 px, in dark, and on paper.
// `make shots` runs it for the pictures.
func TestEveryPageIsSoundInEveryLook(t *testing.T) {
	t.Parallel()
	demo := FreshDemo(t)
	first := demo.Open(t, Desktop)
	first.As("administrator")
	first.furnish()
	paths := survey(first)
	for _, want := range []string{"/week/*", "/people/*", "/plan", "/drafts/*", "/drafts/*/accept", "/drafts/*/why", "/drafts/*/against/*", "/mend"} {
		if !slices.ContainsFunc(paths, func(path string) bool { return Shape(path) == want }) {
			t.Errorf("the walk met no %s; it met %s", want, strings.Join(paths, " "))
		}
	}
	t.Logf("%d kinds of page: %s", len(paths), strings.Join(paths, " "))

	judged := []string{Phone.Name, Desktop.Name, Phone.Dark().Name, Desktop.Dark().Name}
	for _, look := range []Look{Narrow, Phone, Tablet, Desktop, Wide, Phone.Dark(), Desktop.Dark(), DesktopNoScript} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := demo.Open(t, look)
			p.As("administrator")
			titles := map[string]string{}
			for _, path := range paths {
				p.Go(path)
				p.WantStatus(200)
				p.WantSound()
				if other := titles[p.Title()]; other != "" && other != p.Path() {
					t.Errorf("%s and %s share the title %q", path, other, p.Title())
				}
				titles[p.Title()] = p.Path()
				if slices.Contains(judged, look.Name) {
					p.WantAccessible()
				}
				p.Shot(pictureName(path))
			}
		})
	}
	t.Run("focus", func(t *testing.T) {
		t.Parallel()
		for _, look := range []Look{Phone, Desktop} {
			p := demo.Open(t, look)
			p.As("administrator")
			for _, path := range paths {
				p.Go(path)
				if stops := p.WalkFocus(); stops < 3 {
					t.Errorf("%s: the focus stops only %d times", p.describe(), stops)
				}
			}
		}
	})
	t.Run("paper", func(t *testing.T) {
		t.Parallel()
		p := demo.Open(t, Desktop.Dark())
		p.As("administrator")
		for _, path := range paths {
			p.Go(path)
			paper := p.ShotPrinted(pictureName(path))
			want := []string{p.H1()}
			if Shape(path) == "/day/*/sheets" { // each side of paper is a sheet of its own
				want = p.Names("heading")[1:]
			}
			for _, heading := range want {
				if !paper.Has(heading) {
					t.Errorf("%s: its heading %q is not printed; the first of %d sheets reads: %s", p.describe(), heading, len(paper.Sheets), short(paper.Sheets[0].Text))
				}
			}
		}
	})
}

// TestPagesForNobodyAreSound looks at what someone meets who has not signed in,
// and at what is not there.
func TestPagesForNobodyAreSound(t *testing.T) {
	t.Parallel()
	demo := Demo(t)
	for _, look := range []Look{Narrow, Phone, Desktop, Phone.Dark(), Desktop.Dark()} {
		t.Run(look.Name, func(t *testing.T) {
			t.Parallel()
			p := demo.Open(t, look)
			p.Go("/")
			p.WantPath(SignInPath)
			p.WantSound()
			p.WantAccessible()
			p.WalkFocus()
			p.Shot("sign-in")

			p.As("auditor")
			p.Expect(404)
			p.Go("/no-such-page")
			p.WantStatus(404)
			p.WantSound()
			p.WantAccessible()
			p.Shot("not-found")
		})
	}
}

// TestEveryRoleSignsInAndOut walks the form itself, with and without script.
func TestEveryRoleSignsInAndOut(t *testing.T) {
	t.Parallel()
	demo := Demo(t)
	for _, role := range []string{"instructor", "administrator", "auditor"} {
		for _, look := range []Look{Desktop, PhoneNoScript} {
			t.Run(fmt.Sprint(role, " ", look.Name), func(t *testing.T) {
				t.Parallel()
				p := demo.Open(t, look)
				p.SignIn(role)
				p.WantSound()
				p.Click("button", "Sign out")
				p.WantPath(SignInPath)
				p.Go("/")
				p.WantPath(SignInPath)
			})
		}
	}
}
