package verdict

import "rungbook/internal/civil"

// LocalDay is the Ref of a local day, by its ISO form. It keeps findings of one
// person on different days apart.
const LocalDay RefKind = "day"

// RuleLine is the Ref of a line of the rule book, by its id. It keeps findings of
// one thing apart that rest on different lines.
const RuleLine RefKind = "rule-line"

// OnDay returns the Ref of d.
func OnDay(d civil.Day) Ref { return Ref{LocalDay, d.String()} }

// The constructors below word one rule each. They take what was found and what
// is required as values and return a stop. at is the JSON pointer of the value
// of the problem that decided.

func stop(rule string, who Ref, at string, excess int64, found, required Text, also ...Ref) Finding {
	return Finding{Level: Stops, Rule: rule, Who: who, Also: also, Found: found, Required: required, At: at, Excess: excess}
}

func session(id string) Ref { return Ref{Session, id} }

// Unusable says that a session names something the problem lacks.
func Unusable(id, what, name string) Finding {
	return stop("unusable", session(id), "", 1,
		Say("names the "+what+" ", name), Say("a "+what+" that the problem has"))
}

// Grid says that a session starts beside the grid.
func Grid(id string, start civil.Instant, grid civil.Minutes, at string) Finding {
	return stop("grid", session(id), at, 1,
		Say("starts at ", start), Say("a start on the ", grid, " grid of the local clock"))
}

// Length says that a session is not as long as its exercise. It is part of grid.
func Length(id, exercise string, length, want civil.Minutes, at string) Finding {
	return stop("grid", session(id), at, max(int64(length-want), int64(want-length)),
		Say("lasts ", length), Say(want, " (", Ref{Exercise, exercise}, ")"))
}

// OutsideHorizon says that a session lies on a day that is not planned here.
func OutsideHorizon(id string, day, first, last civil.Day, at string) Finding {
	return stop("open-hours", session(id), at, 1,
		Say("is on ", day), Say("a day from ", first, " to ", last))
}

// ClosedDay says that a session lies on a closed day.
func ClosedDay(id string, day civil.Day, at string) Finding {
	return stop("open-hours", session(id), at, 1, Say("is on ", day, ", a closed day"), Say("a day that is open"))
}

// OutsideHours says that no opening window of the day holds a session.
func OutsideHours(id string, p civil.Period, windows Text, at string) Finding {
	return stop("open-hours", session(id), at, 1, Say("runs ", p), Say("within one opening window of that day (", windows, ")"))
}

// NoDaylight says that the day of a session on a daylight station is not listed.
func NoDaylight(id, station string, day civil.Day, at string) Finding {
	return stop("daylight", session(id), at, 1,
		Say("no daylight is stated for ", day), Say("stated daylight for ", Ref{Station, station}))
}

// OutsideDaylight says that a session runs outside the light its station needs.
func OutsideDaylight(id, station string, p, light civil.Period, at string) Finding {
	dark := max(0, light.Start-p.Start) + max(0, p.End-light.End)
	return stop("daylight", session(id), at, int64(dark),
		Say("runs ", p), Say("within daylight, ", light, " (", Ref{Station, station}, ")"))
}

// StationFit says that an exercise can't be done on a station.
func StationFit(id, exercise, station, at string) Finding {
	return stop("station-fit", session(id), at, 1,
		Say("is on ", Ref{Station, station}), Say("a station where ", Ref{Exercise, exercise}, " can be done"))
}

// StationShut says that a session's hold overlaps a shut period.
func StationShut(id, station string, hold, shut civil.Period, at string) Finding {
	overlap := min(hold.End, shut.End) - max(hold.Start, shut.Start)
	return stop("station-shut", session(id), at, int64(overlap),
		Say("holds ", Ref{Station, station}, " ", hold), Say("outside its shut period ", shut))
}

// StationClash says that two holds on one station are too near. short is how
// much later the second would have to start.
func StationClash(id, other, station string, short, turnaround civil.Minutes, at string) Finding {
	return stop("station-clash", session(id), at, int64(short),
		Say("is ", short, " too near to ", session(other), " on ", Ref{Station, station}),
		Say("one hold at a time and ", turnaround, " between"))
}

// ZoneClash says that holds on two stations overlap on ground they share.
func ZoneClash(id, other, zone, station, otherStation string, short civil.Minutes, at string) Finding {
	return stop("zone-clash", session(id), at, int64(short),
		Say("on ", Ref{Station, station}, " overlaps ", session(other), " on ", Ref{Station, otherStation}, " by ", short),
		Say("one at a time in zone ", Ref{Zone, zone}), Ref{Zone, zone})
}

// EnergyClash says that two holds need a circuit in different states too near to
// each other.
func EnergyClash(id, other, circuit, state, otherState string, short, changeover civil.Minutes, at string) Finding {
	return stop("energy-clash", session(id), at, int64(short),
		Say("needs ", Ref{Circuit, circuit}, " "+state+", ", session(other), " needs it "+otherState+": ", short, " too near"),
		Say(changeover, " between the holds"), Ref{Circuit, circuit})
}

// RigHeadcount says that too many people are on a rig; at is the instant of the
// greatest number.
func RigHeadcount(id, rig string, people, most int, when civil.Instant, at string) Finding {
	return stop("rig-headcount", session(id), at, int64(people-most),
		Say(Count(people, "person", "people"), " on ", Ref{Rig, rig}, " at ", when), Say("at most ", most), Ref{Rig, rig})
}

// GroupTooSmall says that a session has fewer trainees than its exercise needs.
func GroupTooSmall(id, exercise string, trainees, least int, at string) Finding {
	return stop("group-size", session(id), at, int64(least-trainees),
		Say(Count(trainees, "trainee", "trainees")), Say("at least ", least, " (", Ref{Exercise, exercise}, ")"))
}

// GroupTooLarge says that a session has more trainees than exercise or station
// takes; limiter is whichever takes fewer.
func GroupTooLarge(id string, limiter Ref, trainees, most int, at string) Finding {
	return stop("group-size", session(id), at, int64(trainees-most),
		Say(Count(trainees, "trainee", "trainees")), Say("at most ", most, " (", limiter, ")"))
}

// Alone says that an intake which stays among itself shares a session.
func Alone(id, intake string, strangers int, stranger Ref, at string) Finding {
	return stop("alone", session(id), at, int64(strangers),
		Say(Count(strangers, "trainee of another intake, ", "trainees of other intakes, such as "), stranger),
		Say("only trainees of intake ", Ref{Intake, intake}), Ref{Intake, intake})
}

// Ratio says that a session has too few instructors for its trainees.
func Ratio(id string, instructors, trainees, need, ratio int, at string) Finding {
	return stop("ratio", session(id), at, int64(need-instructors),
		Say(Count(instructors, "instructor", "instructors"), " for ", Count(trainees, "trainee", "trainees")), Say("at least ", need, " (1 to ", ratio, ")"))
}

// Qualified says that an instructor may not teach the exercise on that day.
// until is the last day of the qualification that ran out last, 0 if there is none.
func Qualified(id, person, exercise string, day, from, until civil.Day, at string) Finding {
	return stop("qualified", session(id), at, 1,
		Say("instructor ", Ref{Person, person}, " ", lapse("to teach ", Ref{Exercise, exercise}, from, until)),
		Say("qualified on ", day), Ref{Person, person})
}

// Entitled says that a trainee lacks a holding that the exercise requires.
func Entitled(id, trainee, holding string, day, from, until civil.Day, at string) Finding {
	return stop("entitled", session(id), at, 1,
		Say("trainee ", Ref{Trainee, trainee}, " ", lapse("for ", Ref{Holding, holding}, from, until)),
		Say("valid on ", day), Ref{Trainee, trainee}, Ref{Holding, holding})
}

// lapse says what stands of a validity that does not hold.
func lapse(purpose string, what Ref, from, until civil.Day) Text {
	if until == 0 {
		return Say("has nothing "+purpose, what)
	}
	return Say("is valid "+purpose, what, " only from ", from, " to ", until)
}

// StaffMin says that too few staff are at a session.
func StaffMin(id, station string, staff, least int, at string) Finding {
	return stop("staff-min", session(id), at, int64(least-staff),
		Say(Count(staff, "instructor or standby rescuer", "instructors and standby rescuers")), Say("at least ", least, " on ", Ref{Station, station}))
}

// FirstAid says that too few of the staff at a session have valid first aid.
func FirstAid(id, station string, aiders, least int, day civil.Day, at string) Finding {
	return stop("first-aid", session(id), at, int64(least-aiders),
		Say(Count(aiders, "first aider", "first aiders"), " among the staff on ", day), Say("at least ", least, " on ", Ref{Station, station}))
}

// RescuerInvalid says that a standby rescuer is no valid rescuer that day. It is
// part of rescue-cover.
func RescuerInvalid(id, person string, day, from, until civil.Day, at string) Finding {
	said := Say("has no rescue competence")
	if until != 0 {
		said = Say("is a rescuer only from ", from, " to ", until)
	}
	return stop("rescue-cover", session(id), at, 1,
		Say("standby rescuer ", Ref{Person, person}, " ", said), Say("a valid rescuer on ", day), Ref{Person, person})
}

// RescueCover says that a station's rescue cover is short.
func RescueCover(id, station string, standby, counted, standbyMin, rescuers int, at string) Finding {
	short := max(0, standbyMin-standby) + max(0, rescuers-standby-counted)
	required := Say("at least ", Count(rescuers, "rescuer", "rescuers"), " on ", Ref{Station, station})
	if standbyMin > 0 {
		required = append(required, ", ", standbyMin, " of them standby")
	}
	return stop("rescue-cover", session(id), at, int64(short),
		Say(Count(standby, "standby rescuer", "standby rescuers"), " and ",
			Count(counted, "instructor who counts as a rescuer", "instructors who count as rescuers")), required)
}

// KitShort says that more of a kit is taken than there is; when is the instant
// of the greatest shortage.
func KitShort(id, kit string, taken, there int, when civil.Instant, at string) Finding {
	return stop("kit", session(id), at, int64(taken-there),
		Say(taken, " of ", Ref{Kit, kit}, " taken at ", when), Say("at most ", there, " there"), Ref{Kit, kit})
}

// Available says that somebody is not available for a time in a session.
func Available(who Ref, id string, p civil.Period, at string) Finding {
	return stop("available", who, at, 1,
		Say("is in ", session(id), " ", p), Say("inside one of their available periods"), session(id))
}

// DoubleBooked says that two times of one body overlap; other is a session or
// the words "a duty".
func DoubleBooked(who Ref, id string, p civil.Period, other Text, overlap civil.Minutes, at string) Finding {
	return stop("double-booked", who, at, int64(overlap),
		Say("is in ", session(id), " ", p, " and in ", other, ": ", overlap, " overlap"),
		Say("one thing at a time"), session(id))
}

// InTwice says that somebody is in one session twice. It is part of double-booked;
// naming the session twice keeps it apart from an overlap with another one.
func InTwice(who Ref, id string, at string) Finding {
	return stop("double-booked", who, at, 1, Say("is in ", session(id), " twice"), Say("one part in a session"), session(id), session(id))
}

// A session is called by its exercise where people read it, so that sentences name one of
// the two.

// NotNeeded says that a trainee does an exercise they do not need.
func NotNeeded(trainee, id string, done bool, at string) Finding {
	found := Say("is in ", session(id), ", which they do not need")
	if done {
		found = Say("is in ", session(id), ", which they have done")
	}
	return stop("needed-once", Ref{Trainee, trainee}, at, 1, found, Say("only what is needed"), session(id))
}

// MoreThanOnce says that a trainee does an exercise again. It is part of needed-once.
func MoreThanOnce(trainee, id, first, exercise, at string) Finding {
	return stop("needed-once", Ref{Trainee, trainee}, at, 1,
		Say("does ", Ref{Exercise, exercise}, " in ", session(first), " and again in ", session(id)), Say("once"), session(id))
}

// NeverBefore is the excess of an order finding without any completion before.
const NeverBefore = 1 << 40

// OrderMissing says that what must come before was never done.
func OrderMissing(trainee, id, before, at string) Finding {
	return stop("order", Ref{Trainee, trainee}, at, NeverBefore,
		Say("is in ", session(id), " without ", Ref{Exercise, before}),
		Say(Ref{Exercise, before}, " first"), session(id), Ref{Exercise, before})
}

// OrderGap says that what must come before ended too late or too long ago;
// most is 0 without an upper limit. short is by how much.
func OrderGap(trainee, id, before string, ended civil.Instant, gap, least, most, short civil.Minutes, at string) Finding {
	required := Say("at least ", least, " after ", Ref{Exercise, before})
	if most > 0 {
		required = append(required, " and at most ", most)
	} else if least <= 0 {
		required = Say(Ref{Exercise, before}, " first")
	}
	found := Say("is in ", session(id), " ", gap, " after ", Ref{Exercise, before}, " ended at ", ended)
	if gap < 0 {
		found = Say("is in ", session(id), " before ", Ref{Exercise, before}, ", which ends at ", ended)
	}
	return stop("order", Ref{Trainee, trainee}, at, int64(short), found, required, session(id), Ref{Exercise, before})
}

// CourseSpan says that a course stretches over too many days.
func CourseSpan(trainee, course string, first, last civil.Day, days, most int, at string) Finding {
	return stop("course-span", Ref{Trainee, trainee}, at, int64(days-most),
		Say(Ref{Course, course}, " runs from ", first, " to ", last, ": ", Count(days, "day", "days")), Say("at most ", Count(most, "day", "days")), Ref{Course, course})
}

// Deadline says that a trainee's session ends after their deadline.
func Deadline(trainee, id string, end civil.Instant, deadline civil.Day, late civil.Minutes, at string) Finding {
	return stop("deadline", Ref{Trainee, trainee}, at, int64(late),
		Say(session(id), " ends at ", end), Say("by the end of ", deadline), session(id))
}
