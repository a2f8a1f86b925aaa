package rulebook

import "rungbook/internal/verdict"

// Working time and rest. Where a law asks for a weekly rest on top of the daily
// rest, the line holds the sum, because the daily rest may not be part of it.

func euAdult() []example {
	const doc, of = "Directive 2003/88/EC (working time)", "2003"
	f := verdict.Planning
	return []example{
		{"daily-rest", DailyRest, 11 * h, f, source(doc, of, "art 3", ReadSecond)},
		{"weekly-rest", WeeklyRest, (24 + 11) * h, f, source("CJEU C-477/21, on Directive 2003/88/EC art 5", "2 Mar 2023", "answers 1 to 3: 24 h and, before it, the 11 h of daily rest", Read)},
		{"weekly-rest-days", WeeklyRestDays, 7, f, source(doc, of, "art 5: each seven-day period", ReadSecond)},
		{"weekly-rest-count", WeeklyRestCount, 1, f, source(doc, of, "art 5", ReadSecond)},
		{"run-days", RunDays, 12, f, source("CJEU C-306/16, Advocate General's opinion", "21 Jun 2017", "paras 1 and 2: a rest may fall anywhere in each seven days, so twelve days in a row are possible", Read)},
		{"day-span", DaySpan, 13 * h, f, source(doc, of, "art 3: 11 h of rest in every 24 h leave 13 h", ReadSecond)},
		{"stretch", Stretch, 6 * h, f, source(doc, of, "art 4: a break where the day is longer than 6 h", ReadSecond)},
		{"break", Break, 20, f, source(doc, of, "art 4 leaves the length to states; 20 min is the United Kingdom's", CommonPractice)},
		{"week-average", WeekAverage, 48 * h, f, source(doc, of, "art 6(b)", ReadSecond)},
		{"week-average-months", WeekAverageMonths, 4, f, source(doc, of, "arts 16(b) and 19", Memory)},
		{"night-minutes", NightMinutes, 8 * h, f, source(doc, of, "art 8: on average; a hard limit where the work is of special hazard", ReadSecond)},
		{"night-from", NightFrom, 0, f, source(doc, of, "art 2(3): night holds 00:00 to 05:00", Memory)},
		{"night-to", NightTo, 5 * h, f, source(doc, of, "art 2(3)", Memory)},
	}
}

func euYoung() []example {
	const doc, of = "Directive 94/33/EC (young people at work)", "1994"
	f := verdict.Planning
	return []example{
		{"daily-rest", DailyRest, 12 * h, f, source(doc, of, "art 10(1)(b)", Memory)},
		{"weekly-rest", WeeklyRest, 48 * h, f, source(doc, of, "art 10(2): two days", Memory)},
		{"weekly-rest-days", WeeklyRestDays, 7, f, source(doc, of, "art 10(2)", Memory)},
		{"weekly-rest-count", WeeklyRestCount, 1, f, source(doc, of, "art 10(2)", Memory)},
		{"day-minutes", DayMinutes, 8 * h, f, source(doc, of, "art 8(2)", Memory)},
		{"day-span", DaySpan, 12 * h, f, source(doc, of, "art 10(1)(b): 12 h of rest in every 24 h leave 12 h", Memory)},
		{"week-minutes", WeekMinutes, 40 * h, f, source(doc, of, "art 8(2)", Memory)},
		{"stretch", Stretch, 4*h + 30, f, source(doc, of, "art 12", Memory)},
		{"break", Break, 30, f, source(doc, of, "art 12", Memory)},
		{"night-barred", NightBarred, 1, f, source(doc, of, "art 9", Memory)},
		{"night-from", NightFrom, 22 * h, f, source(doc, of, "art 9: or 23:00 to 07:00", Memory)},
		{"night-to", NightTo, 6 * h, f, source(doc, of, "art 9", Memory)},
	}
}

const (
	wtr   = "Working Time Regulations (Great Britain, SI 1998/1833)"
	wtrOf = "1998"
)

func ukAdult() []example {
	f := verdict.Planning
	return []example{
		{"daily-rest", DailyRest, 11 * h, f, source(wtr, wtrOf, "reg 10(1)", Read)},
		{"day-span", DaySpan, 13 * h, f, source(wtr, wtrOf, "reg 10(1): 11 h of rest in each 24 h leave 13 h", Read)},
		{"stretch", Stretch, 6 * h, f, source(wtr, wtrOf, "reg 12(1)", ReadSecond)},
		{"break", Break, 20, f, source(wtr, wtrOf, "reg 12(3)", ReadSecond)},
		{"week-average", WeekAverage, 48 * h, f, source(wtr, wtrOf, "regs 4 and 5, unless opted out in writing", ReadSecond)},
		{"week-average-weeks", WeekAverageWeeks, 17, f, source(wtr, wtrOf, "reg 4(3)", ReadSecond)},
		{"night-minutes", NightMinutes, 8 * h, f, source(wtr, wtrOf, "reg 6: on average; a hard limit where the work is of special hazard", ReadSecond)},
		{"record-months", RecordMonths, 24, f, source(wtr, wtrOf, "reg 9", ReadSecond)},
	}
}

// ukWeekly is one of the three weekly rests an employer may choose. Each rest is
// lengthened by the 11 h of daily rest, which reg 11(7) keeps apart from it.
func ukWeekly(days, rest, count int64, clause string) []example {
	f := verdict.Planning
	rows := []example{
		{"weekly-rest", WeeklyRest, rest + 11*h, f, source(wtr, wtrOf, clause+" and 11(7): not part of the 11 h of daily rest", Read)},
		{"weekly-rest-days", WeeklyRestDays, days, f, source(wtr, wtrOf, clause, Read)},
		{"weekly-rest-count", WeeklyRestCount, count, f, source(wtr, wtrOf, clause, Read)},
	}
	if days == 7 {
		rows = append(rows, example{"run-days", RunDays, 12, f, source(wtr, wtrOf, clause+": a rest anywhere in each seven days allows at most twelve days in a row", Read)})
	}
	return rows
}

func ukYoung() []example {
	f := verdict.Planning
	return []example{
		{"daily-rest", DailyRest, 12 * h, f, source(wtr, wtrOf, "reg 10(2)", Read)},
		{"weekly-rest", WeeklyRest, 48 * h, f, source(wtr, wtrOf, "reg 11(3); 36 h only for technical reasons", Read)},
		{"weekly-rest-days", WeeklyRestDays, 7, f, source(wtr, wtrOf, "reg 11(3)", Read)},
		{"weekly-rest-count", WeeklyRestCount, 1, f, source(wtr, wtrOf, "reg 11(3)", Read)},
		{"run-days", RunDays, 5, f, source("Proposed, after reg 11(3)", "", "", CommonPractice)},
		{"day-minutes", DayMinutes, 8 * h, f, source(wtr, wtrOf, "reg 5A", ReadSecond)},
		{"day-span", DaySpan, 12 * h, f, source(wtr, wtrOf, "reg 10(2): 12 h of rest in each 24 h leave 12 h", Read)},
		{"week-minutes", WeekMinutes, 40 * h, f, source(wtr, wtrOf, "reg 5A", ReadSecond)},
		{"stretch", Stretch, 4*h + 30, f, source(wtr, wtrOf, "reg 12(4)", Read)},
		{"break", Break, 30, f, source(wtr, wtrOf, "reg 12(4)", Read)},
		{"night-barred", NightBarred, 1, f, source(wtr, wtrOf, "reg 6A", ReadSecond)},
		{"night-from", NightFrom, 22 * h, f, source(wtr, wtrOf, "reg 2: or 23:00 to 07:00 by contract", ReadSecond)},
		{"night-to", NightTo, 6 * h, f, source(wtr, wtrOf, "reg 2", ReadSecond)},
	}
}

func zaAdult() []example {
	const doc, of = "Basic Conditions of Employment Act (South Africa, 75 of 1997)", "1997"
	f := verdict.Planning
	return []example{
		{"daily-rest", DailyRest, 12 * h, f, source(doc, of, "s 15(1)(a); 10 h by agreement in s 15(2)", Read)},
		{"weekly-rest", WeeklyRest, 36 * h, f, source(doc, of, "s 15(1)(b)", Read)},
		{"weekly-rest-days", WeeklyRestDays, 7, f, source(doc, of, "s 15(1)(b)", Read)},
		{"weekly-rest-count", WeeklyRestCount, 1, f, source(doc, of, "s 15(1)(b)", Read)},
		{"weekly-rest-sunday", RestOnSunday, 1, f, source(doc, of, "s 15(1)(b)", Read)},
		{"run-days", RunDays, 6, f, source(doc, of, "s 15(1)(b): 36 h in each week leave six days", Read)},
		{"day-minutes", DayMinutes, 12 * h, f, source(doc, of, "s 10: overtime included", ReadSecond)},
		{"day-ordinary-5", DayOrdinary, 9 * h, f, source(doc, of, "s 9(1)(b): up to five days a week", Read)},
		{"day-ordinary-6", DayOrdinary, 8 * h, f, source(doc, of, "s 9(1)(c): more than five days a week", Read)},
		{"week-minutes", WeekMinutes, (45 + 10) * h, f, source(doc, of, "ss 9(1)(a) and 10: 45 h and at most 10 h of overtime", ReadSecond)},
		{"week-ordinary", WeekOrdinary, 45 * h, f, source(doc, of, "s 9(1)(a)", Read)},
		{"week-overtime", WeekOvertime, 10 * h, f, source(doc, of, "s 10: only by agreement", ReadSecond)},
		{"stretch", Stretch, 5 * h, f, source(doc, of, "s 14", ReadSecond)},
		{"break", Break, 60, f, source(doc, of, "s 14; 30 min by written agreement", ReadSecond)},
		{"night-from", NightFrom, 18 * h, f, source(doc, of, "s 17: by agreement, with allowance and transport", Memory)},
		{"night-to", NightTo, 6 * h, f, source(doc, of, "s 17", Memory)},
		{"record-months", RecordMonths, 36, f, source(doc, of, "s 31", Memory)},
		{"ratio-lifting", RatioLifting, 4, verdict.Lifting, source("National code of practice for lifting machine operators (South Africa)", "", "cl 14", ReadSecond)},
	}
}
