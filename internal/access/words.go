package access

import (
	"strings"

	"rungbook/internal/verdict"
)

// who names those a rule allows, as the end of a refusal: "an instructor or an
// administrator".
func who(r Rule) string {
	var names []string
	for _, role := range r.Roles {
		article := "an "
		if role == TraineeRole {
			article = "a "
		}
		names = append(names, article+string(role))
	}
	switch {
	case len(r.Fields) == len(verdict.Fields()):
		names = append(names, "a responsible person")
	case len(r.Fields) > 0:
		for _, f := range r.Fields {
			names = append(names, "the responsible person for "+fieldWords(f))
		}
	}
	if len(names) == 0 {
		return "nobody"
	}
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

func fieldWords(f verdict.Field) string {
	if f == verdict.HeightRescue {
		return "height and rescue"
	}
	return string(f)
}
