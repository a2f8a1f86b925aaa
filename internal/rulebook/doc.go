// Package rulebook holds the centre's limits: dated, versioned, each with its
// source. It knows which version stood on a day, which limit of several
// profiles binds, and what a certificate's validity rests on. It does not judge
// anything, and it knows no sessions, people or rigs. No other package holds a
// number with a unit that a rule judges by.
//
// Read rulebook.go for the records, quantities.go for what can be limited, then
// version.go and policy.go for the questions that others ask. The profiles_*.go
// files are data: the examples that a centre starts from and must confirm.
package rulebook
