package rulebook

import "rungbook/internal/verdict"

// The site profile is Rungbook's proposal where no published figure was found,
// or where a stricter one is common. Each centre sets its own.

const proposed = "Proposed site rule"

func siteWork() []example {
	p, r, c := verdict.Planning, verdict.HeightRescue, verdict.Curriculum
	guide := "HSE, good practice guidelines for shift design (HSG256)"
	return []example{
		{"daily-rest", DailyRest, 12 * h, p, source("Fatigue guide mirrored from a national regulator (Ireland)", "", "12 h between shifts", ReadSecond)},
		{"weekly-rest", WeeklyRest, 36 * h, p, source(proposed, "", "", CommonPractice)},
		{"weekly-rest-days", WeeklyRestDays, 7, p, source(proposed, "", "", CommonPractice)},
		{"weekly-rest-count", WeeklyRestCount, 1, p, source(proposed, "", "", CommonPractice)},
		{"run-days", RunDays, 6, p, source(guide, "2006", "five to seven days in a row", Read)},
		{"run-days-caution", RunDaysCaution, 5, p, source(guide, "2006", "five to seven days in a row", Read)},
		{"day-minutes", DayMinutes, 8 * h, p, source(guide, "2006", "8 h where work is demanding or dangerous", Read)},
		{"day-span", DaySpan, 10 * h, p, source(proposed, "", "as the training standard's training day", CommonPractice)},
		{"week-minutes", WeekMinutes, 48 * h, p, source(proposed, "", "", CommonPractice)},
		{"height-day", HeightDay, 4 * h, r, source(proposed, "", "4 to 6 h on rope; no published figure found", CommonPractice)},
		{"stretch", Stretch, 4*h + 30, p, source(proposed, "", "", CommonPractice)},
		{"break", Break, 30, p, source(proposed, "", "", CommonPractice)},
		{"ratio-practical", RatioPractical, 4, c, source(proposed, "", "a converted turbine may count as on site: 4 is safe", CommonPractice)},
	}
}

func siteCover() []example {
	r, p := verdict.HeightRescue, verdict.Planning
	return []example{
		{"rescuers", RescuersMin, 2, r, source("Danish working environment guideline 2.4.3-1, work at height from ropes", "Oct 2017", "always at least two people on site who can rescue", Read)},
		{"first-aiders", FirstAidersMin, 1, r, source(proposed, "", "", CommonPractice)},
		{"rescue-target", RescueTarget, 10, r, source(proposed, "", "motionless suspension is not borne long", CommonPractice)},
		{"drill-age", DrillAge, 6, r, source(proposed, "", "6 or 12 months", CommonPractice)},
		{"drill-minutes", DrillMinutes, 20, r, source(proposed, "", "no published figure found; twice the time to reach a casualty", CommonPractice)},
		{"rescue-plan-notice", PlanNotice, 14, r, source(proposed, "", "", CommonPractice)},
		{"kit-notice", KitNotice, 14, r, source(proposed, "", "", CommonPractice)},
		{"inspection-notice", InspectionNotice, 14, r, source(proposed, "", "", CommonPractice)},
		{"certificate-notice", CertificateNotice, 30, p, source(proposed, "", "", CommonPractice)},
		{"session-notice", SessionNotice, 24 * h, p, source(proposed, "", "", CommonPractice)},
	}
}

// siteValidity covers credentials for which no published term was found.
func siteValidity() []example {
	c, r, e := verdict.Curriculum, verdict.HeightRescue, verdict.Energy
	own := source(proposed, "", "", CommonPractice)
	return []example{
		{"validity.teaches", ValidityMonths, 12, c, source(rft, "V15, 1 Apr 2025", "cl 8.2.4: each instructor is observed at least every 12 months", Read)},
		{"validity.teaches.window", RenewalWindow, 2, c, own},
		{"validity.teaches.lapse-appraisal", LapseAppraisal, 0, c, own},
		{"validity.rescue", ValidityMonths, 12, r, own},
		{"validity.rescue.window", RenewalWindow, 2, r, own},
		{"validity.rescue.lapse-refresher", LapseRefresher, 0, r, own},
		{"validity.medical", ValidityMonths, 24, r, source("Interval in common use for wind technicians", "", "yearly if older or restricted", CommonPractice)},
		{"validity.medical.convention", Convention, int64(AsPrinted), r, own},
		{"validity.hazardous-energy", ValidityMonths, 24, e, source("Interval in common use; the standard's own was not seen", "", "", CommonPractice)},
		{"validity.hazardous-energy.window", RenewalWindow, 2, e, source("Global Wind Organisation, Control of Hazardous Energies Refresher", "V3, 4 Dec 2023", "two-month window", Read)},
		{"validity.hazardous-energy.lapse-full", LapseFull, 0, e, own},
		{"validity.blade-inspection", ValidityMonths, 24, r, own},
		{"validity.blade-inspection.window", RenewalWindow, 2, r, own},
		{"validity.blade-inspection.lapse-full", LapseFull, 0, r, own},
	}
}

func siteWeather() []example {
	r := verdict.HeightRescue
	return []example{
		{"wind-caution", WindCaution, 80, r, source(proposed, "", "", CommonPractice)},
		{"wind-stop", WindStop, 100, r, source("Telecom wind-speed technical note", "", "mean of 20 knots at working height", ReadSecond)},
		{"gust-stop", GustStop, 140, r, source(proposed, "", "", CommonPractice)},
		{"thunder-wait", ThunderWait, 30, r, source("Weather-service 30-30 rule", "", "30 min after the last thunder", Read)},
		{"wind-chill", WindChillFloor, -10, r, source(proposed, "", "", CommonPractice)},
		{"heat-caution", HeatCaution, 32, r, source("OSHA, Using the Heat Index", "", "caution to 91 °F, rounded down", Read)},
		{"heat-stop", HeatStop, 39, r, source(proposed, "", "where OSHA's high band begins: 103 °F, rounded down", CommonPractice)},
		{"lightning-distance", LightningDistance, 10, r, source("Weather-service 30-30 rule", "", "30 s from flash to thunder, about 10 km", Read)},
		{"clear", ClearMinutes, 20, r, source(proposed, "", "the time to come down and muster, as a drill measured it", CommonPractice)},
		{"storm-speed", StormSpeed, 170, r, source(proposed, "", "about 60 km/h", CommonPractice)},
		{"reading-age", ReadingAge, 30, r, source(proposed, "", "", CommonPractice)},
	}
}

// siteOffice is how soon complaints and appeals are dealt with. That there be a
// written procedure, and that those who decide were not involved, is asked by
// Requirements for Training, cl 6.3.2-6.3.4, and by ISO/IEC 17024:2012, 9.8 and 9.9;
// no figure was found in either.
func siteOffice() []example {
	c := verdict.Curriculum
	return []example{
		{"complaint-answer-days", ComplaintAnswerDays, 5, c, source(proposed, "", "a procedure is asked by ISO/IEC 17024:2012, 9.8 and 9.9; no published figure found", CommonPractice)},
		{"complaint-decision-days", ComplaintDecisionDays, 20, c, source(proposed, "", "a procedure is asked by ISO/IEC 17024:2012, 9.8 and 9.9; no published figure found", CommonPractice)},
	}
}
