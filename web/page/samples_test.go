package page

import "github.com/a-h/templ"

// samplePages is every page with its sample, for the tests of all pages and the gallery.
func samplePages() map[string]templ.Component {
	return map[string]templ.Component{
		"yard":   YardPage(sampleYardPage()),
		"signin": SignInPage(NewSignIn(sampleDoor(), "ngozi@example.org", "/week", "E-mail and password don't match.")),
		"first":  FirstAdministratorPage(NewFirstAdministrator(sampleDoor(), "k1", "", "Ngozi", "", map[string]string{"email": "E-mail is empty."})),
	}
}
