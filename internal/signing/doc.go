// Package signing is the journey of a session at the rig: the day sheet and the
// rescue card that are carried there on paper and signed by hand. It judges by
// planning's slices and knows no page. It takes nothing back in yet. Read desk.go.
package signing
