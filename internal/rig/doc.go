// Package rig holds converted hardware and what keeps it fit for use: rigs,
// stations, zones, circuits, kits, inspections, shut periods, rescue plans and
// drills. It answers whether a station may be used, and if not, from what
// cause; which rescue plan was in force; and when a day is light. It knows no
// trainees and no sessions, and it judges by the numbers of the rule book only.
//
// Read rig.go for the records, then register.go for the questions. service.go
// decides what is in service, inforce.go which rescue plan stands, cause.go says
// it in words, daylight.go computes sunrise and sunset.
package rig
