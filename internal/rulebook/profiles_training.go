package rulebook

import "rungbook/internal/verdict"

// The industry's training standard, named here as the source of figures only.
const (
	rft = "Global Wind Organisation, Requirements for Training"
	bst = "Global Wind Organisation, Basic Safety Training Standard"
	art = "Global Wind Organisation, Advanced Rescue Training Standard"
)

func trainingDay() []example {
	c, r := verdict.Curriculum, verdict.HeightRescue
	return []example{
		{"ratio-theory", RatioTheory, 12, c, source(bst, "V20, 10 Mar 2026", "table 13.3.1", Read)},
		{"ratio-practical", RatioPractical, 6, c, source(bst, "V20, 10 Mar 2026", "table 13.3.1: at a centre", Read)},
		{"ratio-practical-on-site", RatioPracticalOnSite, 4, c, source(bst, "V20, 10 Mar 2026", "table 13.3.1: on site", Read)},
		{"ratio-rescue-practical", RatioRescuePractical, 4, r, source(art, "V6, 10 Mar 2026", "tables 9.3.1 and 11.3.1", Read)},
		{"day-minutes", DayMinutes, 8 * h, c, source(rft, "V15, 1 Apr 2025", "cl 9.3.5: contact time", Read)},
		{"day-span", DaySpan, 10 * h, c, source(rft, "V15, 1 Apr 2025", "cl 9.3.4: meals, breaks and travel between sites included", Read)},
		{"course-span", CourseSpan, 28, c, source(rft, "V15, 1 Apr 2025", "cl 9.1.9(b)", Read)},
		{"theory-recheck", TheoryRecheck, 24 * h, c, source(rft, "V13, 2 May 2023", "cl 9.1.10: theory and safety points of an earlier part", Read)},
		{"first-aiders", FirstAidersMin, 1, r, source(rft, "V13, 2 May 2023", "cl 9.1.8", Read)},
		{"instructor-first-aid", InstructorFirstAid, 1, c, source(rft, "V15, 1 Apr 2025", "cl 8.1.3(a)", Read)},
		{"instructor-delivery", InstructorDelivery, 12, c, source(rft, "V15, 1 Apr 2025", "cl 8.2.3", Read)},
	}
}

func trainingRecords() []example {
	c := verdict.Curriculum
	return []example{
		{"report-working-days", ReportWorkingDays, 10, c, source(rft, "V12, 2022", "cl 7.2", Read)},
		{"record-months-refreshed", RecordMonths, 27, c, source(rft, "V15, 1 Apr 2025", "cl 6.2.3: 2 years 3 months where refreshed every 24 months", Read)},
		{"record-months-enduring", RecordMonths, 63, c, source(rft, "V15, 1 Apr 2025", "cl 6.2.3: 5 years 3 months where not refreshed", Read)},
		{"incident-ordinary", IncidentMinutes, 7 * 24 * h, c, source(rft, "V14, 4 Dec 2023", "cl 6.3.6", Read)},
		{"incident-significant", IncidentMinutes, 24 * h, c, source(rft, "V14, 4 Dec 2023", "cl 6.3.6", Read)},
	}
}

// trainingValidity: 24 months, two calendar months of window, nothing after the
// last valid day but the full programme.
func trainingValidity() []example {
	valid := source(bst, "V20, 10 Mar 2026", "cl 5.5, table 5.5.1", Read)
	var out []example
	for _, of := range []struct {
		name  string
		valid Source
	}{
		{"height", valid},
		{"height-and-handling", source(bst, "V18, 24 Jun 2024", "table 5.4.1: V20 has no line for the combination", Read)},
		{"manual-handling", valid},
		{"fire-awareness", valid},
		{"first-aid", valid},
		{"advanced-rescue", source(art, "V6, 10 Mar 2026", "not seen", Memory)},
	} {
		out = append(out, trainingTerms("validity."+of.name, of.valid)...)
	}
	return out
}

func trainingTerms(line string, valid Source) []example {
	c := verdict.Curriculum
	return []example{
		{line, ValidityMonths, 24, c, valid},
		{line + ".convention", Convention, int64(SameDay), c, source(bst, "V20, 10 Mar 2026", "cl 5.5: counted from the completion date", Read)},
		{line + ".window", RenewalWindow, 2, c, source(rft, "V15, 1 Apr 2025", "cl 6.2.7 and 6.2.8", Read)},
		{line + ".on-last-day", RefreshOnLastDay, 0, c, source(rft, "V15, 1 Apr 2025", "cl 6.2.6: before the date of expiry; the day itself is ambiguous, refused", Read)},
		{line + ".lapse-full", LapseFull, 0, c, source(rft, "V15, 1 Apr 2025", "cl 6.2.9", Read)},
		{line + ".failure", FailureCosts, int64(CostsProgramme), c, source(bst, "V20, 10 Mar 2026", "cl 5.4: a new course of that module", Read)},
	}
}

func ropeAccess() []example {
	const doc = "Rope-access trade association, training, assessment and certification scheme"
	c := verdict.HeightRescue
	at := func(clause string) Source { return source(doc, "as quoted by members", clause, ReadSecond) }
	var out []example
	for _, line := range []string{"validity.rope-level-1", "validity.rope-level-2", "validity.rope-level-3"} {
		out = append(out,
			example{line, ValidityMonths, 36, c, at("4.10")},
			example{line + ".convention", Convention, int64(SameDay), c, at("4.10")},
			example{line + ".window", RenewalWindow, 6, c, at("last six months keep the date")},
			example{line + ".inactivity", InactivityMonths, 6, c, at("4.11")},
			example{line + ".failure", FailureCosts, int64(CostsCertificate), c, at("a failed re-assessment voids the ticket")},
		)
		if line == "validity.rope-level-1" {
			out = append(out, example{line + ".lapse-full", LapseFull, 0, c, at("level 1: the full course at any time")})
		} else {
			out = append(out,
				example{line + ".lapse-refresher", LapseRefresher, 6, c, at("up to six months late: ordinary re-assessment")},
				example{line + ".lapse-appraisal", LapseAppraisal, 24, c, at("up to 24 months late: appraisal day first")},
				example{line + ".lapse-restart", LapseRestart, 0, c, at("later: again from level 1")},
			)
		}
		if line != "validity.rope-level-3" {
			out = append(out,
				example{line + ".upgrade-months", UpgradeMonths, 12, c, at("level upgrade")},
				example{line + ".upgrade-minutes", UpgradeMinutes, 1000 * h, c, at("level upgrade: 1,000 logged hours")},
			)
		}
	}
	return out
}

func firstAidGB() []example {
	const doc, of = "HSE L74, First aid at work", "2013"
	c := verdict.HeightRescue
	return []example{
		{"validity.first-aid-at-work", ValidityMonths, 36, c, source(doc, of, "para 74", ReadSecond)},
		{"validity.first-aid-at-work.convention", Convention, int64(DayBefore), c, source("Strict reading: three years end on the day before the same date", "", "", CommonPractice)},
		{"validity.first-aid-at-work.window", RenewalWindow, 0, c, source(doc, of, "para 74: no carry-over since 2013", ReadSecond)},
		{"validity.first-aid-at-work.lapse-refresher", LapseRefresher, 1, c, source(doc, of, "para 76: requalification course up to one month late", ReadSecond)},
		{"validity.first-aid-at-work.lapse-full", LapseFull, 0, c, source(doc, of, "para 76: later, the full course", ReadSecond)},
	}
}

func cprCard() []example {
	c := verdict.HeightRescue
	return []example{
		{"validity.resuscitation", ValidityMonths, 24, c, source("Training bodies' cards", "", "two years", ReadSecond)},
		{"validity.resuscitation.convention", Convention, int64(MonthEnd), c, source("Training bodies' cards", "", "to the end of the month of issue", Memory)},
		{"validity.resuscitation.lapse-full", LapseFull, 0, c, source("Training bodies' cards", "", "", Memory)},
	}
}
