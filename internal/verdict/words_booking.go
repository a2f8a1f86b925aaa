package verdict

import "rungbook/internal/civil"

// The findings below are not rules of a plan: they are what booking adds on the
// day (a start that has passed) and cautions that a person may accept.

// InThePast stops a session that would start before now.
func InThePast(session Ref, start, now civil.Instant) Finding {
	return Finding{Level: Stops, Rule: "past", Who: session,
		Found: Say("it would start ", start), Required: Say("a start after ", now)}
}

// LongRun cautions that a person would work many days in a row, though no limit
// that binds them is reached.
func LongRun(who Ref, days int, from civil.Day, notice int) Finding {
	return Finding{Level: Cautions, Rule: "long-run", Who: who, Field: Planning, Excess: int64(days - notice),
		Found:    Say(who, " has times on ", days, " days in a row from ", from),
		Required: Say("fewer than ", notice, " days in a row, or an accepted reason")}
}

// DueSoon cautions that a clock of what the session stands on runs out soon
// after it. kind is which clock, say what is due and by when. line is the
// rule-book line of an inspection, which keeps two of one thing apart; "" for
// what has none.
func DueSoon(session, thing Ref, kind, line string, say Text, notice int, field Field) Finding {
	also := []Ref{thing}
	if line != "" {
		also = append(also, Ref{RuleLine, line})
	}
	return Finding{Level: Cautions, Rule: kind + "-due", Who: session, Also: also, Field: field,
		Found: say, Required: Say("more than ", Count(notice, "day", "days"), " before it is due, or an accepted reason")}
}

// AloneInTwoParts cautions that the only first aider present is also one of the
// rescuers, and would be needed twice at once.
func AloneInTwoParts(session, who Ref) Finding {
	return Finding{Level: Cautions, Rule: "first-aider-rescues", Who: session, Also: []Ref{who}, Field: HeightRescue,
		Found:    Say(who, " is the only first aider and also the only rescuer"),
		Required: Say("a second first aider or rescuer, or an accepted reason")}
}

// Count returns a number with its word, "1 day" or "14 days".
func Count(n int, one, many string) Text {
	if n == 1 {
		return Say("1 ", one)
	}
	return Say(n, " ", many)
}
