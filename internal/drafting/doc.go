// Package drafting is the journey of planning whole intakes and of mending what
// is booked when the yard loses a station, a person or a day. It builds a problem
// from the records, has it searched in the background, one search at a time, and
// keeps the best plan found as a draft. A draft books nothing: accepting it does,
// after it was judged again against the records as they are then.
//
// It knows drafts, losses and who was told. It judges no rule itself: that is
// plan/check's, through planning.
//
// Read desk.go first, then task.go (records become a problem), search.go (how it
// is searched) and accept.go.
package drafting
