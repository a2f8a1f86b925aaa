package verdict

import "strings"

// ruleNames are the rules in people's words, for pages; the command line prints
// the rule's own name.
var ruleNames = map[string]string{
	"grid": "Start times", "open-hours": "Opening hours", "daylight": "Daylight", "station-fit": "Station for the exercise",
	"station-shut": "Station not usable", "station-clash": "Station taken", "zone-clash": "Shared ground in use",
	"energy-clash": "Energy live or dead", "rig-headcount": "People on the rig", "group-size": "Group size",
	"alone": "Intake by itself", "ratio": "Instructor ratio", "qualified": "Instructor qualified", "entitled": "What trainees must hold",
	"staff-min": "Staff present", "first-aid": "First aid", "rescue-cover": "Rescue cover", "kit": "Kit",
	"available": "People available", "double-booked": "In two places", "needed-once": "Needed, and once", "order": "Order of exercises",
	"course-span": "Days of one programme", "deadline": "Last day of the intake", "daily-rest": "Daily rest", "weekly-rest": "Weekly rest",
	"day-run": "Days in a row", "day-minutes": "Time in a day", "day-span": "Length of the day", "week-minutes": "Time in a week",
	"height-minutes": "Time at height", "break": "Break", "fixed": "Fixed session", "stated": "Figures of the plan",
	"past": "Start has passed", "long-run": "Many days in a row", "first-aider-rescues": "First aider also rescues",
	"weather-reading": "Weather reading", "wind": "Wind", "gust": "Gust", "ice": "Ice", "wind-chill": "Wind chill", "heat": "Heat",
	"thunder": "Thunder", "lightning": "Lightning", "weather-forecast": "Forecast", "weather": "Weather",
	"inspection-due": "Inspection due soon", "kit-due": "Kit due soon", "rescue-plan-review-due": "Rescue plan due for review", "drill-due": "Rescue drill due soon",
}

// RuleName returns a rule's name in people's words.
func RuleName(rule string) string {
	if n, ok := ruleNames[rule]; ok {
		return n
	}
	return strings.ReplaceAll(rule, "-", " ")
}
