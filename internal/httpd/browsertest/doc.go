//go:build browser

// Package browsertest drives the real program in a real browser. It knows how
// to start Rungbook's demo and a headless Chromium, how to read and use a page
// as a person does, and what every page owes its reader; it knows nothing of
// any page's content. The journeys are its tests. Read page.go first.
//
// A journey reads like this:
//
//	func TestAnInstructorBooksAFreeTime(t *testing.T) {
//		for _, look := range browsertest.EveryLook {
//			t.Run(look.Name, func(t *testing.T) {
//				p := browsertest.FreshDemo(t).Open(t, look)
//				p.SignIn("instructor")
//				p.Go("/book")
//				p.Choose("Exercise", "Harness basics")
//				p.Fill("From", "2027-03-02")
//				p.Click("button", "Show free times")
//				p.WantSound()
//				p.Click("button", p.First("button", "Book "))
//				p.WantText("booked")
//			})
//		}
//	}
//
// # The program
//
// Run builds cmd/rungbook once and starts one Chromium; TestMain calls it.
// Demo gives a program that all tests share: read from it only. FreshDemo gives
// a program of the test's own, on a copy of the same data. Start runs any other
// command line, such as "serve".
//
// # The page
//
// Open gives a page with cookies of its own. A Look says how wide it is, whether
// script runs, and which theme the reader prefers: Phone, Desktop, and their
// twins PhoneNoScript and DesktopNoScript; Dark() of any of them.
//
// Things are named as a screen reader names them: a role ("button", "link",
// "heading", "row", "cell", "status" …) and a name; form fields by their label; a
// row, a list item, a paragraph and a status by the text they hold.
// A name matches when it is equal, or else when it is the only one that contains
// what was asked for; when nothing or too much matches, the test fails with the
// names there are. Within narrows a page to a part of it. Whatever looks for
// something waits for it up to Patience.
//
// A page fails its test by itself when the browser reports a script error, a
// refused inline style or script, or a file that could not be loaded. Refusals
// of the program itself (409, 422) are not errors; Expect names other statuses.
//
// # Pictures
//
// Shot writes a picture into the folder that the variable SHOTS names, and does
// nothing without it. A test that fails leaves a picture there too.
package browsertest
