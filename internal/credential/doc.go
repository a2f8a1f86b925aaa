// Package credential holds certificates and their dates: last valid day, renewal
// window, lapse, and whether a person was qualified on a day. It knows the rule
// book's terms and no calendar of sessions; who taught when comes in as days.
//
// Read validity.go first: it is the one place of the arithmetic of dates.
// entitled.go answers what certificates entitle a person to, credential.go has
// the records.
package credential
