// Package signing is the journey of a session at the rig: the day sheet and the
// rescue card that are carried there on paper, and what came back on them typed
// up later as the signed record. It judges by planning's slices and session's
// table of moves, and knows no page. Read desk.go, then typed.go.
package signing
