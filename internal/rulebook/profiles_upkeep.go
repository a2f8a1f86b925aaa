package rulebook

import "rungbook/internal/verdict"

// Inspection intervals. Records of rigs, stations and kits name the lines that
// bind them, because an interval depends on the use and not on the item: the
// same anchor is examined every 12 months for lanyards and every 6 for ropes.

func upkeepHeight() []example {
	f := verdict.HeightRescue
	return []example{
		{"inspection.fall-protection", InspectionMonths, 12, f, source("EN 365", "2004", "periodic examination", ReadSecond)},
		{"inspection.harness", InspectionMonths, 6, f, source("HSE INDG367", "2009", "detailed inspection", ReadSecond)},
		{"inspection.harness-arduous", InspectionMonths, 3, f, source("HSE INDG367", "2009", "arduous use: steel masts and towers", ReadSecond)},
		{"inspection.platform-weekly", InspectionDays, 7, f, source("Work at Height Regulations (Great Britain, SI 2005/735)", "2005", "reg 12(4): construction platforms from which a fall of 2 m or more is possible", Read)},
		{"inspection.fall-arrest-anchor", InspectionMonths, 12, f, source("BS 7883", "2005", "anchors for fall arrest", ReadSecond)},
		{"inspection.rope-anchor", InspectionMonths, 6, f, source("BS 7883", "2005", "anchors for rope access", ReadSecond)},
		{"inspection.descent-anchor", InspectionMonths, 12, f, source("29 CFR 1910.27(b)(1)", "", "annual inspection", Read)},
		{"inspection.ladder", InspectionMonths, 6, f, source("Site practice for fixed ladders", "", "6 to 12 months by exposure", CommonPractice)},
		{"inspection.ladder-rail", InspectionMonths, 12, f, source("EN 365, EN 353-1", "", "rail and runner dated separately", Memory)},
		{"inspection.structure", InspectionMonths, 12, f, source("Yearly look at a converted structure", "", "", CommonPractice)},
		{"inspection.storm", StormGust, 170, f, source("Practice for converted structures outdoors", "", "just below a gale, which begins at 17.2 m/s: a 3-second gust at 10 m above the ground", CommonPractice)},
		{"inspection.rescue-kit", InspectionMonths, 6, f, source("HSE INDG367", "2009", "as a harness: detailed inspection", ReadSecond)},
		{"retirement.textile", TextileLife, 120, f, source("Practice for harnesses, lanyards, ropes and slings", "", "10 years from first use; the maker's own day where it is earlier", CommonPractice)},
		{"inspection.first-aid-kit", InspectionMonths, 1, f, source("ANSI Z308.1", "", "monthly", ReadSecond)},
	}
}

func upkeepOther() []example {
	const loler = "Lifting Operations and Lifting Equipment Regulations (Great Britain, SI 1998/2307)"
	l, e := verdict.Lifting, verdict.Energy
	return []example{
		{"inspection.lifting-persons", InspectionMonths, 6, l, source(loler, "1998", "reg 9(3)(a)(i)", Read)},
		{"inspection.lifting-accessories", InspectionMonths, 6, l, source(loler, "1998", "reg 9(3)(a)(i)", Read)},
		{"inspection.lifting", InspectionMonths, 12, l, source(loler, "1998", "reg 9(3)(a)(ii)", Read)},
		{"inspection.lifting-tackle-za", InspectionMonths, 3, l, source("Driven Machinery Regulations (South Africa)", "2015", "reg 18", Memory)},
		{"inspection.service-lift", InspectionMonths, 6, l, source(loler, "1998", "reg 9(3)(a)(i): lifts people", Read)},
		{"inspection.pressure-external", InspectionMonths, 24, e, source("BetrSichV (Germany), as summarised", "", "external examination of accumulators", ReadSecond)},
		{"inspection.pressure-internal", InspectionMonths, 60, e, source("BetrSichV (Germany), as summarised", "", "internal examination of accumulators", ReadSecond)},
		{"inspection.accumulator-charge", InspectionMonths, 3, e, source("Accumulator makers' practice", "", "gas pre-charge", CommonPractice)},
		{"inspection.insulating-gloves", InspectionMonths, 6, e, source("29 CFR 1910.137", "", "table I-5, after issue", Read)},
		{"inspection.insulating-sleeves", InspectionMonths, 12, e, source("29 CFR 1910.137", "", "table I-5", ReadSecond)},
		{"inspection.insulated-tools", InspectionMonths, 12, e, source("Yearly recorded look, after IEC 60900", "", "", CommonPractice)},
		{"inspection.electrical-visual", InspectionMonths, 3, e, source("HSE HSG107", "", "formal visual, training workshop", Memory)},
		{"inspection.electrical-test", InspectionMonths, 6, e, source("HSE HSG107", "", "combined inspection and test", Memory)},
		{"inspection.fire-extinguisher", InspectionMonths, 12, e, source("BS 5306-3", "", "basic service", ReadSecond)},
		{"inspection.lockout-procedure", InspectionMonths, 12, e, source("29 CFR 1910.147(c)(6)", "", "by an authorised person not using it", Read)},
	}
}
