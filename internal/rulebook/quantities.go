package rulebook

import (
	"fmt"
	"strings"

	"rungbook/internal/civil"
)

// Unit is what a quantity's value counts.
type Unit string

// The units.
const (
	Minutes    Unit = "minutes"
	Days       Unit = "days"   // calendar days
	Months     Unit = "months" // calendar months
	People     Unit = "people"
	PerTeacher Unit = "trainees per instructor"
	Clock      Unit = "clock" // local clock, minutes since 00:00
	Speed      Unit = "dm/s"  // tenths of a metre per second
	Degrees    Unit = "°C"    // whole degrees Celsius
	Kilometres Unit = "km"
	YesNo      Unit = "yes-no" // 1 = yes, 0 = no
	Choice     Unit = "choice" // one of Meaning.Choices, counted from 0
	Times      Unit = "times"
)

// Sense says on which side of its value a quantity is met.
type Sense string

// The senses.
const (
	AtLeast Sense = "at least"
	AtMost  Sense = "at most"
	Exactly Sense = "" // a setting, not a limit
)

// Judges that are no rule of the plan checker. A quantity's JudgedBy is one of
// these or the name of a plan rule.
const (
	CertificateDates = "certificate-dates" // credential/validity.go
	ServiceState     = "in-service"        // rig/service.go
	PlanInForce      = "rescue-plan"       // rig/inforce.go
	Caution          = "caution"           // planning's cautions
	Mending          = "mend"              // drafting/mend.go
	Weather          = "weather"           // weather/judge.go
	RecheckGate      = "theory-recheck"    // running/gate_prepared.go
	Complaints       = "complaints"        // complaints/desk.go
)

// Meaning is what a quantity stands for.
type Meaning struct {
	Quantity Quantity
	Unit     Unit
	Sense    Sense
	JudgedBy string // "" = not checked by Rungbook
	Label    string // plain words, lower case
	Min, Max int64  // values a version may hold, both counted
	Choices  []string
	Many     bool // a profile may hold several lines of it, told apart by their ids
}

// Checked reports whether anything in Rungbook judges by the quantity.
func (m Meaning) Checked() bool { return m.JudgedBy != "" }

// The quantities of a rest policy. They mean what planning-problem.md says of
// the plan's rest policies.
const (
	DailyRest       Quantity = "daily_rest_minutes"
	WeeklyRest      Quantity = "weekly_rest_minutes"
	WeeklyRestDays  Quantity = "weekly_rest_days"
	WeeklyRestCount Quantity = "weekly_rest_count"
	RunDays         Quantity = "run_days"
	DayMinutes      Quantity = "day_minutes"
	DaySpan         Quantity = "day_span_minutes"
	WeekMinutes     Quantity = "week_minutes"
	HeightDay       Quantity = "height_day_minutes"
	Stretch         Quantity = "stretch_minutes"
	Break           Quantity = "break_minutes"
)

// The quantities of teaching and of cover.
const (
	RatioTheory          Quantity = "ratio_theory"
	RatioPractical       Quantity = "ratio_practical"
	RatioPracticalOnSite Quantity = "ratio_practical_on_site"
	RatioRescuePractical Quantity = "ratio_rescue_practical"
	RatioLifting         Quantity = "ratio_lifting_practical"
	CourseSpan           Quantity = "course_span_days"
	TheoryRecheck        Quantity = "theory_recheck_minutes"
	RescuersMin          Quantity = "rescuers_min"
	FirstAidersMin       Quantity = "first_aiders_min"
	InstructorFirstAid   Quantity = "instructor_first_aid"
	InstructorDelivery   Quantity = "instructor_delivery_months"
	RescueTarget         Quantity = "rescue_target_minutes"
	DrillAge             Quantity = "drill_age_months"
	DrillMinutes         Quantity = "drill_minutes"
)

// The quantities of certificates. A validity line "validity.height" carries its
// further terms in lines whose ids add a name: "validity.height.window".
const (
	ValidityMonths   Quantity = "validity_months"
	Convention       Quantity = "validity_convention"
	RenewalWindow    Quantity = "renewal_window_months"
	RefreshOnLastDay Quantity = "refresher_on_last_day"
	LapseRefresher   Quantity = "lapse_refresher_months" // up to so many months late; 0 = without end
	LapseAppraisal   Quantity = "lapse_appraisal_months"
	LapseFull        Quantity = "lapse_full_months"
	LapseRestart     Quantity = "lapse_restart_months"
	InactivityMonths Quantity = "inactivity_months"
	UpgradeMonths    Quantity = "upgrade_months"
	UpgradeMinutes   Quantity = "upgrade_minutes"
	FailureCosts     Quantity = "failure_costs"
)

// The quantities of upkeep and of notice.
const (
	InspectionMonths  Quantity = "inspection_months"
	InspectionDays    Quantity = "inspection_days"
	InspectionNotice  Quantity = "inspection_notice_days"
	StormGust         Quantity = "storm_gust"
	TextileLife       Quantity = "textile_life_months"
	KitNotice         Quantity = "kit_notice_days"
	PlanNotice        Quantity = "rescue_plan_notice_days"
	CertificateNotice Quantity = "certificate_notice_days"
	RunDaysCaution    Quantity = "run_days_caution"
	SessionNotice     Quantity = "session_notice_minutes"
)

// LeastStormGust is the least a version may call a storm, in tenths of a metre per
// second: what is below it is an ordinary day's wind, and no rig waits for it.
const LeastStormGust = 120

// Quantities that no rule of Rungbook judges. They stand in the rule book so
// that a reader sees what remains for people to watch.
const (
	WeekAverage       Quantity = "week_average_minutes"
	WeekAverageMonths Quantity = "week_average_months"
	WeekAverageWeeks  Quantity = "week_average_weeks"
	WeekOrdinary      Quantity = "week_ordinary_minutes"
	WeekOvertime      Quantity = "week_overtime_minutes"
	DayOrdinary       Quantity = "day_ordinary_minutes"
	RestOnSunday      Quantity = "weekly_rest_on_sunday"
	NightMinutes      Quantity = "night_minutes"
	NightFrom         Quantity = "night_from"
	NightTo           Quantity = "night_to"
	NightBarred       Quantity = "night_barred"
	RecordMonths      Quantity = "record_retention_months"
	ReportWorkingDays Quantity = "report_working_days"
	IncidentMinutes   Quantity = "incident_report_minutes"
)

// The quantities of complaints and appeals, in workdays of the yard.
const (
	ComplaintAnswerDays   Quantity = "complaint_answer_working_days"
	ComplaintDecisionDays Quantity = "complaint_decision_working_days"
)

// The quantities of weather.
const (
	WindCaution       Quantity = "wind_mean_caution"
	WindStop          Quantity = "wind_mean_stop"
	GustStop          Quantity = "wind_gust_stop"
	ThunderWait       Quantity = "thunder_wait_minutes"
	WindChillFloor    Quantity = "wind_chill_floor"
	HeatCaution       Quantity = "heat_index_caution"
	HeatStop          Quantity = "heat_index_stop"
	LightningDistance Quantity = "lightning_distance"
	ClearMinutes      Quantity = "clear_minutes"
	StormSpeed        Quantity = "storm_speed"
	ReadingAge        Quantity = "weather_reading_minutes"
)

const (
	dayLong   = 24 * 60
	weekLong  = 7 * dayLong
	longMonth = 1200 // months; a century is longer than any interval
)

// meanings is in the order in which pages list quantities.
var meanings = []Meaning{
	{Quantity: DailyRest, Unit: Minutes, Sense: AtLeast, JudgedBy: "daily-rest", Label: "rest between two days of work", Min: 1, Max: dayLong},
	{Quantity: WeeklyRest, Unit: Minutes, Sense: AtLeast, JudgedBy: "weekly-rest", Label: "unbroken weekly rest", Min: 1, Max: weekLong},
	{Quantity: WeeklyRestDays, Unit: Days, JudgedBy: "weekly-rest", Label: "days in which the weekly rest falls", Min: 1, Max: 28},
	{Quantity: WeeklyRestCount, Unit: Times, JudgedBy: "weekly-rest", Label: "weekly rests in those days", Min: 1, Max: 4},
	{Quantity: RunDays, Unit: Days, Sense: AtMost, JudgedBy: "day-run", Label: "days worked in a row", Min: 1, Max: 31},
	{Quantity: DayMinutes, Unit: Minutes, Sense: AtMost, JudgedBy: "day-minutes", Label: "work or contact time in a day", Min: 1, Max: dayLong},
	{Quantity: DaySpan, Unit: Minutes, Sense: AtMost, JudgedBy: "day-span", Label: "day from first start to last end", Min: 1, Max: dayLong},
	{Quantity: WeekMinutes, Unit: Minutes, Sense: AtMost, JudgedBy: "week-minutes", Label: "work in a calendar week", Min: 1, Max: weekLong},
	{Quantity: HeightDay, Unit: Minutes, Sense: AtMost, JudgedBy: "height-minutes", Label: "time at height in a day", Min: 1, Max: dayLong},
	{Quantity: Stretch, Unit: Minutes, Sense: AtMost, JudgedBy: "break", Label: "time without a break", Min: 1, Max: dayLong},
	{Quantity: Break, Unit: Minutes, Sense: AtLeast, JudgedBy: "break", Label: "length of a break", Min: 1, Max: 240},

	{Quantity: RatioTheory, Unit: PerTeacher, Sense: AtMost, JudgedBy: "ratio", Label: "trainees per instructor in theory", Min: 1, Max: 100},
	{Quantity: RatioPractical, Unit: PerTeacher, Sense: AtMost, JudgedBy: "ratio", Label: "trainees per instructor in practice at a centre", Min: 1, Max: 100},
	{Quantity: RatioPracticalOnSite, Unit: PerTeacher, Sense: AtMost, JudgedBy: "ratio", Label: "trainees per instructor in practice on site", Min: 1, Max: 100},
	{Quantity: RatioRescuePractical, Unit: PerTeacher, Sense: AtMost, JudgedBy: "ratio", Label: "trainees per instructor in rescue practice", Min: 1, Max: 100},
	{Quantity: RatioLifting, Unit: PerTeacher, Sense: AtMost, Label: "learners per facilitator on lifting machines", Min: 1, Max: 100},
	{Quantity: CourseSpan, Unit: Days, Sense: AtMost, JudgedBy: "course-span", Label: "calendar days from a course's first to its last", Min: 1, Max: 366},
	{Quantity: TheoryRecheck, Unit: Minutes, Sense: AtMost, JudgedBy: RecheckGate, Label: "time before a practical within which earlier theory is checked again", Min: 1, Max: weekLong},
	{Quantity: RescuersMin, Unit: People, Sense: AtLeast, JudgedBy: "rescue-cover", Label: "rescuers for work at height", Min: 1, Max: 20},
	{Quantity: FirstAidersMin, Unit: People, Sense: AtLeast, JudgedBy: "first-aid", Label: "first-aiders present in practice", Min: 1, Max: 20},
	{Quantity: InstructorFirstAid, Unit: YesNo, JudgedBy: "qualified", Label: "every instructor holds valid first aid", Min: 0, Max: 1},
	{Quantity: InstructorDelivery, Unit: Months, Sense: AtMost, Label: "time since an instructor last taught the module", Min: 1, Max: longMonth},
	{Quantity: RescueTarget, Unit: Minutes, Sense: AtMost, JudgedBy: PlanInForce, Label: "time to reach a casualty that a rescue plan may claim", Min: 1, Max: dayLong},
	{Quantity: DrillAge, Unit: Months, Sense: AtMost, JudgedBy: ServiceState, Label: "age of a rescue plan's last accepted drill", Min: 1, Max: longMonth},
	{Quantity: DrillMinutes, Unit: Minutes, Sense: AtMost, JudgedBy: ServiceState, Label: "time to a safe place in a rescue plan's last accepted drill", Min: 1, Max: dayLong},

	{Quantity: ValidityMonths, Unit: Months, JudgedBy: CertificateDates, Label: "validity", Min: 1, Max: longMonth, Many: true},
	{Quantity: Convention, Unit: Choice, JudgedBy: CertificateDates, Label: "last valid day", Max: 3, Choices: []string{"same day", "day before", "month end", "as printed"}, Many: true},
	{Quantity: RenewalWindow, Unit: Months, JudgedBy: CertificateDates, Label: "months before the last valid day in which a refresher keeps the date", Max: longMonth, Many: true},
	{Quantity: RefreshOnLastDay, Unit: YesNo, JudgedBy: CertificateDates, Label: "a refresher on the last valid day itself counts", Max: 1, Many: true},
	{Quantity: LapseRefresher, Unit: Months, JudgedBy: CertificateDates, Label: "months after lapse in which a refresher is enough", Max: longMonth, Many: true},
	{Quantity: LapseAppraisal, Unit: Months, JudgedBy: CertificateDates, Label: "months after lapse in which an appraisal day comes first", Max: longMonth, Many: true},
	{Quantity: LapseFull, Unit: Months, JudgedBy: CertificateDates, Label: "months after lapse in which the full programme is needed", Max: longMonth, Many: true},
	{Quantity: LapseRestart, Unit: Months, JudgedBy: CertificateDates, Label: "months after lapse in which one starts again at the first level", Max: longMonth, Many: true},
	{Quantity: InactivityMonths, Unit: Months, Sense: AtMost, JudgedBy: CertificateDates, Label: "months without doing the work before a refresher is due", Min: 1, Max: longMonth, Many: true},
	{Quantity: UpgradeMonths, Unit: Months, Sense: AtLeast, JudgedBy: CertificateDates, Label: "months at a level before the next", Min: 1, Max: longMonth, Many: true},
	{Quantity: UpgradeMinutes, Unit: Minutes, Sense: AtLeast, JudgedBy: CertificateDates, Label: "hours at a level before the next", Min: 1, Max: 6_000_000, Many: true},
	{Quantity: FailureCosts, Unit: Choice, Label: "what a failure costs", Max: 3, Choices: []string{"the outcome", "the exercise", "the whole programme", "the older certificate"}, Many: true},

	{Quantity: InspectionMonths, Unit: Months, Sense: AtMost, JudgedBy: ServiceState, Label: "months between inspections", Min: 1, Max: longMonth, Many: true},
	{Quantity: InspectionDays, Unit: Days, Sense: AtMost, JudgedBy: ServiceState, Label: "days between inspections", Min: 1, Max: 366, Many: true},
	{Quantity: StormGust, Unit: Speed, Sense: AtMost, JudgedBy: ServiceState, Label: "gust from which rigs outdoors are inspected before their next use", Min: LeastStormGust, Max: 400},
	{Quantity: InspectionNotice, Unit: Days, JudgedBy: Caution, Label: "days of notice before an inspection is due", Min: 1, Max: 366},
	{Quantity: TextileLife, Unit: Months, Sense: AtMost, JudgedBy: ServiceState, Label: "lifetime of textile kit from its first use, where its maker names no earlier day", Min: 1, Max: longMonth},
	{Quantity: KitNotice, Unit: Days, JudgedBy: Caution, Label: "days of notice before a kit's last valid day", Min: 1, Max: 366},
	{Quantity: PlanNotice, Unit: Days, JudgedBy: Caution, Label: "days of notice before a rescue plan's review", Min: 1, Max: 366},
	{Quantity: CertificateNotice, Unit: Days, JudgedBy: Caution, Label: "days of notice before a staff certificate's last valid day", Min: 1, Max: 366},
	{Quantity: RunDaysCaution, Unit: Days, Sense: AtMost, JudgedBy: Caution, Label: "days worked in a row without a caution", Min: 1, Max: 31},
	{Quantity: SessionNotice, Unit: Minutes, Sense: AtLeast, JudgedBy: Mending, Label: "notice before a session that could stay is changed", Min: 1, Max: 28 * dayLong},

	{Quantity: WeekAverage, Unit: Minutes, Sense: AtMost, Label: "average working week", Min: 1, Max: weekLong},
	{Quantity: WeekAverageMonths, Unit: Months, Label: "months over which the week is averaged", Min: 1, Max: 12},
	{Quantity: WeekAverageWeeks, Unit: Times, Label: "weeks over which the week is averaged", Min: 1, Max: 52},
	{Quantity: WeekOrdinary, Unit: Minutes, Sense: AtMost, Label: "ordinary hours in a week", Min: 1, Max: weekLong},
	{Quantity: WeekOvertime, Unit: Minutes, Sense: AtMost, Label: "overtime in a week", Min: 1, Max: weekLong},
	{Quantity: DayOrdinary, Unit: Minutes, Sense: AtMost, Label: "ordinary hours in a day", Min: 1, Max: dayLong, Many: true},
	{Quantity: RestOnSunday, Unit: YesNo, Label: "weekly rest includes Sunday unless agreed", Max: 1},
	{Quantity: NightMinutes, Unit: Minutes, Sense: AtMost, Label: "night work in 24 hours", Min: 1, Max: dayLong},
	{Quantity: NightFrom, Unit: Clock, Label: "night begins", Max: dayLong},
	{Quantity: NightTo, Unit: Clock, Label: "night ends", Max: dayLong},
	{Quantity: NightBarred, Unit: YesNo, Label: "no work at night", Max: 1},
	{Quantity: RecordMonths, Unit: Months, Sense: AtLeast, Label: "months that records are kept", Min: 1, Max: longMonth, Many: true},
	{Quantity: ReportWorkingDays, Unit: Days, Sense: AtMost, Label: "working days to report a completed course", Min: 1, Max: 366},
	{Quantity: IncidentMinutes, Unit: Minutes, Sense: AtMost, Label: "time to report an incident", Min: 1, Max: 60 * dayLong, Many: true},
	{Quantity: ComplaintAnswerDays, Unit: Days, Sense: AtMost, JudgedBy: Complaints, Label: "working days until a complaint or appeal is answered first", Min: 1, Max: 366},
	{Quantity: ComplaintDecisionDays, Unit: Days, Sense: AtMost, JudgedBy: Complaints, Label: "working days until a complaint or appeal is decided", Min: 1, Max: 366},
	{Quantity: WindCaution, Unit: Speed, Sense: AtMost, JudgedBy: Weather, Label: "mean wind without a caution", Min: 1, Max: 500},
	{Quantity: WindStop, Unit: Speed, Sense: AtMost, JudgedBy: Weather, Label: "mean wind at which work at height stops", Min: 1, Max: 500},
	{Quantity: GustStop, Unit: Speed, Sense: AtMost, JudgedBy: Weather, Label: "gust at which work at height stops", Min: 1, Max: 700},
	{Quantity: ThunderWait, Unit: Minutes, Sense: AtLeast, JudgedBy: Weather, Label: "wait after the last thunder", Min: 1, Max: dayLong},
	{Quantity: WindChillFloor, Unit: Degrees, JudgedBy: Weather, Label: "wind chill at which outdoor practice stops", Min: -60, Max: 10},
	{Quantity: HeatCaution, Unit: Degrees, Sense: AtMost, JudgedBy: Weather, Label: "heat index without a caution", Min: 20, Max: 60},
	{Quantity: HeatStop, Unit: Degrees, Sense: AtMost, JudgedBy: Weather, Label: "heat index at which outdoor practice stops", Min: 20, Max: 60},
	{Quantity: LightningDistance, Unit: Kilometres, Sense: AtLeast, JudgedBy: Weather, Label: "distance of lightning at which nobody is up any more", Min: 1, Max: 200},
	{Quantity: ClearMinutes, Unit: Minutes, Sense: AtLeast, JudgedBy: Weather, Label: "time to come down and muster", Min: 1, Max: 240},
	{Quantity: StormSpeed, Unit: Speed, Sense: AtLeast, JudgedBy: Weather, Label: "speed of a thunderstorm that is not known", Min: 1, Max: 500},
	{Quantity: ReadingAge, Unit: Minutes, Sense: AtMost, JudgedBy: Weather, Label: "age of a weather reading", Min: 5, Max: 240},
}

var meaningOf = func() map[Quantity]Meaning {
	m := make(map[Quantity]Meaning, len(meanings))
	for _, meaning := range meanings {
		m[meaning.Quantity] = meaning
	}
	return m
}()

// Meanings lists every quantity in the order in which pages show them.
func Meanings() []Meaning { return meanings }

// Meaning returns what the quantity stands for; ok is false for an unknown one.
func (q Quantity) Meaning() (m Meaning, ok bool) {
	m, ok = meaningOf[q]
	return m, ok
}

// Rest reports whether the quantity is part of a rest policy.
func (q Quantity) Rest() bool {
	switch q {
	case DailyRest, WeeklyRest, WeeklyRestDays, WeeklyRestCount, RunDays, DayMinutes, DaySpan, WeekMinutes, HeightDay, Stretch, Break:
		return true
	}
	return false
}

// Checked reports whether anything in Rungbook judges by the line.
func (l Line) Checked() bool { return meaningOf[l.Quantity].Checked() }

// Label returns what the line limits, in plain words. A line that a profile
// holds several of is told apart by its id: "months between inspections: ladder".
func (l Line) Label() string {
	m := meaningOf[l.Quantity]
	if m.Many {
		return m.Label + ": " + l.Subject()
	}
	return m.Label
}

// Subject returns what a line of several is about, read from its id where the id
// says it in words: "inspection.fall-arrest-anchor" is "fall arrest anchor" and
// "validity.height.window" is "height".
func (l Line) Subject() string {
	_, name, found := strings.Cut(l.ID, ".")
	if !found {
		name = l.ID
	}
	name, _, _ = strings.Cut(name, ".")
	if words := subjectWords[name]; words != "" {
		return words
	}
	return strings.ReplaceAll(name, "-", " ")
}

// subjectWords says what a line is about where its id tells it too shortly.
var subjectWords = map[string]string{
	"lifting":            "lifting equipment",
	"lifting-persons":    "lifting equipment for people",
	"lifting-tackle-za":  "lifting tackle by South African rules",
	"harness-arduous":    "harness in arduous use",
	"platform-weekly":    "working platform, weekly",
	"storm":              "after a storm",
	"pressure-external":  "pressure accumulator, from outside",
	"pressure-internal":  "pressure accumulator, from inside",
	"accumulator-charge": "gas charge of accumulators",
	"electrical-visual":  "electrical equipment, by eye",
	"electrical-test":    "electrical equipment, tested",
}

// ValueText returns the value as people read it: "11 h", "24 months", "1:6".
func (l Line) ValueText() string {
	m := meaningOf[l.Quantity]
	switch m.Unit {
	case Minutes:
		return civil.Minutes(l.Value).String()
	case Clock:
		return civil.ClockString(civil.Minutes(l.Value))
	case Days:
		return counted(l.Value, "day")
	case Months:
		return counted(l.Value, "month")
	case PerTeacher:
		return fmt.Sprintf("1:%d", l.Value)
	case Speed:
		return fmt.Sprintf("%d.%d m/s", l.Value/10, l.Value%10)
	case Degrees:
		return fmt.Sprintf("%d °C", l.Value)
	case YesNo:
		if l.Value == 0 {
			return "no"
		}
		return "yes"
	case Choice:
		if 0 <= l.Value && l.Value < int64(len(m.Choices)) {
			return m.Choices[l.Value]
		}
	}
	return fmt.Sprint(l.Value)
}

func counted(n int64, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
