package httpd

import (
	"strconv"

	"rungbook/internal/founding"
	"rungbook/internal/id"
	"rungbook/web"
	"rungbook/web/ui"
)

// replaceSheet asks who comes in a trainee's place.
func (v *visit) replaceSheet() (sheet, error) {
	of, err := v.Founder.ToReplace(v.r.Context(), v.actor, id.Trainee(v.param("trainee")))
	if err != nil {
		return sheet{}, err
	}
	at := "/intakes/" + string(of.Trainee.Intake) + "/arrivals"
	return sheet{title: "Who comes instead of " + of.Name, over: ui.Link{Text: "Arrivals", Href: at},
		line:    "They are enrolled for the same exercises. In each session to come they take the place if no rule stops it; where one does, the place is free. A paper that you have not seen counts as missing.",
		address: at + "/" + string(of.Trainee.ID) + "/replace", button: "Enrol them in this place", hidden: []ui.Value{{Name: "rev", Value: strconv.FormatInt(of.Rev, 10)}},
		groups: v.newcomerGroups(founding.HoldsFor(v.ref.Exercises.All(v.today), of.Trainee.Needs), 1)}, nil
}

func replaceForm(v *visit) error { return v.showSheet(v.replaceSheet()) }

func replaceTrainee(v *visit) error {
	said := ""
	at := "/intakes/" + v.param("intake") + "/arrivals"
	return v.sendSheetSaying(v.replaceSheet, func(a answers) error {
		rows := newcomers(a, v.programmeHolds(), 1)
		if err := a.bad.Err(); err != nil {
			return err
		}
		rev, _ := strconv.ParseInt(a.Get("rev"), 10, 64)
		done, err := v.Founder.Replace(v.r.Context(), v.actor, founding.Replacement{Of: id.Trainee(v.param("trainee")), Rev: rev, Newcomer: rows[0]}, v.key())
		said = replacedWords(done)
		return err
	}, at, &said)
}

// replacedWords tells what became of the places.
func replacedWords(r founding.Replaced) string {
	if r.Took+r.Freed == 0 {
		return "Enrolled. No session to come had a place to take."
	}
	out := "Enrolled. They take " + web.Count(r.Took, "place", "places") + "."
	if r.Waits > 0 {
		out += " " + web.Count(r.Waits, "session waits", "sessions wait") + " until a caution is accepted."
	}
	if r.Freed > 0 {
		out += " They are not entitled to " + web.Count(r.Freed, "place", "places") + ", which are free now; what they miss stands on their record."
	}
	return out
}
