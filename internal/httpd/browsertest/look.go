//go:build browser

package browsertest

// A Look is how a reader meets the pages.
type Look struct {
	Name   string
	Width  int  // of the window, in CSS pixels
	Height int  // of the window, in CSS pixels
	Script bool // whether the page's script runs
	dark   bool
	touch  bool
	keys   bool // no mouse: see keys.go
}

// The looks that every journey is walked in, and the other widths that pages
// are looked at.
var (
	Phone           = Look{Name: "phone", Width: 360, Height: 740, Script: true, touch: true}
	PhoneNoScript   = Look{Name: "phone-no-script", Width: 360, Height: 740, touch: true}
	Desktop         = Look{Name: "desktop", Width: 1280, Height: 800, Script: true}
	DesktopNoScript = Look{Name: "desktop-no-script", Width: 1280, Height: 800}
	Keyboard        = Look{Name: "keyboard", Width: 1280, Height: 800, Script: true, keys: true}
	Narrow          = Look{Name: "narrow", Width: 320, Height: 640, Script: true, touch: true}
	Tablet          = Look{Name: "tablet", Width: 768, Height: 1024, Script: true, touch: true}
	Wide            = Look{Name: "wide", Width: 1920, Height: 1080, Script: true}
)

// EveryLook is the four looks in which every journey must succeed.
var EveryLook = []Look{Phone, PhoneNoScript, Desktop, DesktopNoScript}

// EveryWay is EveryLook, and once without a mouse.
var EveryWay = []Look{Phone, PhoneNoScript, Desktop, DesktopNoScript, Keyboard}

// Dark returns the look of a reader who prefers the dark theme.
func (l Look) Dark() Look {
	l.Name += "-dark"
	l.dark = true
	return l
}
