package rulebook

// Where the figures of lessons stand: how long one takes, how many trainees one
// instructor has in it. They limit nothing; an example curriculum cites them, and
// the centre sets its own.

// HeightLesson cites a lesson of work at height.
func HeightLesson(clause string) Source { return source(bst, "V19, 2 May 2025", clause, Read) }

// HeightRatio cites the ratios of work at height.
func HeightRatio() Source { return source(bst, "V20, 10 Mar 2026", "table 13.3.1", Read) }

// HeightTotal cites the contact time of work at height: 13 h 25.
func HeightTotal() Source { return source(bst, "V18, 24 Jun 2024", "table 5.4.1: 13 h 25", Read) }

// BladeLesson cites a lesson of blade inspection.
func BladeLesson(clause string) Source {
	return source("Global Wind Organisation, Blade Repair Training Standard", "V5, 2 May 2025", clause, Read)
}

// EnergyLesson cites a lesson on hazardous energies in one version.
func EnergyLesson(version, clause string) Source {
	return source("Global Wind Organisation, Control of Hazardous Energies Standard", version, clause, Read)
}
