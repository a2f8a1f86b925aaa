package ui

// Shell is what stands around a page.
type Shell struct {
	Title   string // of the page; the yard's name is added behind it
	Section string // the Section.ID that is current, "" for none
	Yard    string // the centre's own name
	Actor   Actor  // zero for a visitor who is not signed in
	Nav     []Section
	Notices []Notice // what stands above every page, such as "rule book not confirmed"
	Flash   Notice   // what the last action did; zero for nothing
	Theme   string   // "light", "dark" or "" for the system's own
	Path    string   // this page's address, so that a change of theme comes back
	AsOf    AsOf
	Query   string // what was searched, kept in the search field
	Reload  string // seconds after which a browser without script asks again; "" for never
	TakeOut []Link // this page's list as files
	AlsoOut []TakeOut
	Lists   []Link // where other lists are taken out
	Report  Link   // to report an incident; zero for nobody signed in
	// Complain leads to what the reader filed, and to file more; zero as Report.
	Complain Link
	Phone    *Phone // on pages that are read at the rig, perhaps without signal
	// NoSearch hides the search field from those who may see only their own page.
	NoSearch bool
}

// Phone is what the script at the rig must know: whose phone it is, and when the
// page was made.
type Phone struct {
	Account string
	Who     string
	Zone    string // IANA
	Now     string // minutes since 1970 in UTC
	Clock   string // "08:02"
	Keep    string // addresses that the phone keeps beside those linked, with spaces between
}

// TakeOut is another list of the same page as files.
type TakeOut struct {
	What  string // "Attendance"
	Files []Link
}

// Actor is who is signed in.
type Actor struct {
	Name  string
	Roles string // "instructor, responsible for height and rescue"
	Href  string // to their own account; "" where there is nothing they may change
}

// AsOf ties a page or its print to the ledger.
type AsOf struct {
	Moment string // "Tue 2 Mar 10:14"
	Entry  string // number of the last entry, "20 413"
	Root   string // the whole root hash, printed only; may be ""
}

// Section is one place of the navigation.
type Section struct {
	ID, Label, Href string
	Count           string // "3" beside Needs attention; "" for none
}

// Sections are all places of the navigation in their order.
func Sections() []Section {
	return []Section{
		{ID: "yard", Label: "Yard", Href: "/"},
		{ID: "week", Label: "Week", Href: "/week"},
		{ID: "book", Label: "Book", Href: "/book"},
		{ID: "plan", Label: "Plan", Href: "/plan"},
		{ID: "mend", Label: "Mend", Href: "/mend"},
		{ID: "coverage", Label: "Coverage", Href: "/coverage"},
		{ID: "people", Label: "People", Href: "/people"},
		{ID: "intakes", Label: "Intakes", Href: "/intakes"},
		{ID: "certificates", Label: "Certificates", Href: "/certificates"},
		{ID: "rule-book", Label: "Rule book", Href: "/rule-book"},
		{ID: "attention", Label: "Needs attention", Href: "/attention"},
		{ID: "set-up", Label: "Set up", Href: "/set-up"},
		{ID: "accounts", Label: "Accounts", Href: "/accounts"},
		{ID: "backups", Label: "Backups", Href: "/backups"},
		{ID: "path", Label: "My path", Href: "/path"},
	}
}

// Nav returns the sections an actor may open. waiting is how many things need
// attention, as text; "" shows no number.
func Nav(may func(section string) bool, waiting string) []Section {
	var open []Section
	for _, s := range Sections() {
		if !may(s.ID) {
			continue
		}
		if s.ID == "attention" {
			s.Count = waiting
		}
		open = append(open, s)
	}
	return open
}

// documentTitle returns "Coverage · Carrowmoyle".
func (s Shell) documentTitle() string {
	switch {
	case s.Yard == "":
		return s.Title
	case s.Title == "":
		return s.Yard
	default:
		return s.Title + " · " + s.Yard
	}
}

// yardName is what the head calls the place before it has a name.
func (s Shell) yardName() string {
	if s.Yard == "" {
		return "Rungbook"
	}
	return s.Yard
}

// themes are the choices at the foot of each page.
var themes = []struct{ value, label string }{{"", "System"}, {"light", "Light"}, {"dark", "Dark"}}

func yesNo(b bool) string {
	if b {
		return "true"
	}
	return "false"
}
