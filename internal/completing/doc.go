// Package completing is the journey from a programme that is done to its
// certificate: who is complete and has none yet, what each certificate would rest
// on, what holds it, and giving it.
//
// It knows nothing of how results come about (running) and of dates of
// certificates only what credential says. Read judge.go first: it is the rule of
// who is complete, asked again inside the write that gives a certificate.
package completing
