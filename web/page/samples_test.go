package page

import (
	"maps"

	"github.com/a-h/templ"

	"rungbook/internal/verdict"
	"rungbook/web/chart"
	"rungbook/web/ui"
)

// samplePages is every page with its sample, for the tests of all pages and the gallery.
func samplePages() map[string]templ.Component {
	other := sampleYardPage()
	other.Name, other.Shell.Theme = "Sandvik Öst", "dark"
	other.Drawing = chart.Rows(otherYard(), chart.Options{Width: 1216, Labels: true})
	other.Map = chart.Elevation(otherYard(), chart.Options{Width: 328})
	other.Shell.Notices = []ui.Notice{{Level: verdict.Stops, Text: "Rule book not confirmed: nothing can be booked until the responsible persons confirm its limits.", Link: link("Open the rule book", "/rule-book")}}
	other.Shell.Flash = ui.Notice{Level: verdict.Clear, Text: "Deck 9 south is open again; 2 sessions hold."}
	pages := map[string]templ.Component{
		"yard":         YardPage(sampleYardPage()),
		"yard-other":   YardPage(other),
		"yard-empty":   YardPage(Yard{Shell: sampleShell("yard", "Yard"), Name: "Carrowmoyle", Moment: "Tue 2 Mar 2027"}),
		"signin":       SignInPage(NewSignIn(sampleDoor(), "ngozi@example.org", "/week", "E-mail and password don't match.")),
		"first":        FirstAdministratorPage(NewFirstAdministrator(sampleDoor(), 15, "k1", "", "Ngozi", "", map[string]string{"email": "E-mail is empty."})),
		"problem":      ProblemPage(Problem{Shell: sampleShell("", "No such session"), Title: "No such session", Text: "There is no session with this number, or it is not yours to see.", Back: link("Open the week", "/week")}),
		"coverage":     CoveragePage(sampleCoverage(false)),
		"without":      CoveragePage(sampleCoverage(true)),
		"rulebook":     RuleBookPage(sampleRuleBook()),
		"mine":         MinePage(sampleMine()),
		"mine-none":    MinePage(Mine{Shell: sampleShell("yard", "My day"), Line: "Tue 2 Mar 2027", None: "No session names you today.", Later: link("Wed 3 Mar 08:00–11:30, Ladder climb", "/sessions/s4")}),
		"rig":          RigPage(sampleRig()),
		"station":      StationPage(sampleStation()),
		"people":       PeoplePage(samplePeople()),
		"person":       PersonPage(samplePerson()),
		"path":         PathPage(samplePath()),
		"certificates": CertificatesPage(sampleCertificates()),
		"certificate":  CertificatePage(sampleCertificate()),
		"attention":    AttentionPage(sampleAttention()),
		"intakes":      IntakesPage(sampleIntakes()),
		"intake":       IntakePage(sampleIntake()),
		"search":       SearchPage(sampleSearch()),
		"lists":        ListsPage(sampleLists()),
		"sessions":     SessionsPage(sampleChosenSessions(true)),
		"no-sessions":  SessionsPage(sampleChosenSessions(false)),
	}
	maps.Copy(pages, bookingPages())
	maps.Copy(pages, draftPages())
	maps.Copy(pages, setUpPages())
	maps.Copy(pages, accountPages())
	maps.Copy(pages, paperPages())
	maps.Copy(pages, runningPages())
	maps.Copy(pages, beforePages())
	maps.Copy(pages, backupPages())
	maps.Copy(pages, bringingPages())
	maps.Copy(pages, incidentPages())
	maps.Copy(pages, weatherPages())
	maps.Copy(pages, sumPages())
	maps.Copy(pages, arrivalPages())
	maps.Copy(pages, completingPages())
	maps.Copy(pages, kitPages())
	maps.Copy(pages, dossierPages())
	maps.Copy(pages, circuitPages())
	maps.Copy(pages, rescuePages())
	maps.Copy(pages, complaintPages())
	return pages
}
