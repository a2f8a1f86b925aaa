// Package running is the journey of a session at the rig, on a phone: what must
// stand before it can be under way, the roll while it runs, the pauses that were
// held, the results and the signature. It judges by planning's slices and the
// session's own table of moves, and knows no page. Read gates.go, then desk.go.
package running
