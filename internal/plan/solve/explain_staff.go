package solve

import (
	"slices"

	"rungbook/internal/civil"
	"rungbook/internal/plan"
)

// staff: a person of the team may not do what the session asks of them; lifted, they
// may that day. Where nobody is left, what the station or the ratio asks is the cause.
func (b *blame) staff(f fault) {
	d, e := b.s.day, b.s.exercise
	valid := plan.Validity{From: d, Until: d}
	ex, st := &b.c.exercises[e], &b.c.stations[b.s.station]
	switch {
	case f.rule == qualified:
		p := b.c.personOf[f.who]
		b.add(qualified, ofSkill, "teaches "+f.who+d.String(), f.who+" may not teach "+ex.id+" on "+d.String(), func(x *relaxed) {
			v := &x.p.People[p]
			v.Teaches = append(slices.Clone(v.Teaches), plan.Teaches{Exercise: ex.id, Validity: valid})
		})
	case f.rule == rescueCover && f.who != "":
		p := b.c.personOf[f.who]
		b.add(rescueCover, ofSkill, "rescues "+f.who+d.String(), f.who+" is no rescuer on "+d.String(), func(x *relaxed) {
			v := &x.p.People[p]
			v.Rescuer = append(slices.Clone(v.Rescuer), valid)
		})
	case f.rule == firstAid && b.aid(int(f.excess), valid):
	case f.rule == rescueCover && b.invalidRescuer():
	case f.rule == ratio && len(b.s.instructors) == 0:
		b.unknown = true // there is nobody at all
	default:
		b.asked(f.rule, ex, st)
	}
}

// invalidRescuer reports whether a standby rescuer of the session is none: then that
// is the cause of a cover that is short.
func (b *blame) invalidRescuer() bool {
	return slices.ContainsFunc(b.s.rescuers, func(p int) bool { return !validOn(b.c.people[p].rescuer, b.s.day) })
}

// aid: so many of the team have no first aid that day; false if there are too few.
func (b *blame) aid(n int, valid plan.Validity) bool {
	var lack []int
	for _, p := range slices.Concat(b.s.instructors, b.s.rescuers) {
		if !validOn(b.c.people[p].firstAid, b.s.day) {
			lack = append(lack, p)
		}
	}
	if len(lack) < n {
		return false
	}
	for _, p := range lack[:n] {
		id := b.c.people[p].id
		b.add(firstAid, ofSkill, "aids "+id+valid.From.String(), id+" has no first aid on "+valid.From.String(), func(x *relaxed) {
			v := &x.p.People[p]
			v.FirstAid = append(slices.Clone(v.FirstAid), valid)
		})
	}
	return true
}

// asked: more staff are asked for than there are people; lifted, they are not.
func (b *blame) asked(r rule, ex *exercise, st *station) {
	e, at := b.s.exercise, b.s.station
	switch r {
	case ratio:
		b.add(r, ofLimits, "ratio "+ex.id, ex.id+" asks for one instructor for "+number(ex.ratioOn(at))+", and there are too few people", func(x *relaxed) {
			x.p.Exercises[e].Ratio, x.p.Exercises[e].RatioAt = beyond, nil
		})
	case staffMin:
		b.add(r, ofLimits, "staff "+st.id, st.id+" asks for "+number(st.staffMin)+" staff, and there are too few people", func(x *relaxed) { x.p.Stations[at].StaffMin = 0 })
	case firstAid:
		b.add(r, ofLimits, "aiders "+st.id, st.id+" asks for "+number(st.firstAiders)+" first aiders, and there are too few people", func(x *relaxed) { x.p.Stations[at].FirstAiders = 0 })
	case rescueCover:
		b.add(r, ofLimits, "rescue "+st.id, "the rescue cover of "+st.id+" asks for more people than there are", func(x *relaxed) { x.p.Stations[at].Rescue = nil })
	}
}

// rest: lifted, the policy has no such limit for that body.
func (b *blame) rest(f fault) {
	r, body, policy := f.rule, f.who, f.with
	of := b.p.RestPolicies[slices.IndexFunc(b.p.RestPolicies, func(p plan.RestPolicy) bool { return p.Name == policy })]
	words := "rest policy " + quoted(policy) + " of " + body + " " + limitOf(&of, r) + " (" + b.period(b.s.span) + ")"
	b.add(r, ofLimits, "rest "+body+" "+policy+" "+ruleNames[r], words, func(x *relaxed) {
		own := policy + "\x00" + body
		i := slices.IndexFunc(x.p.RestPolicies, func(p plan.RestPolicy) bool { return p.Name == own })
		if i < 0 {
			i = len(x.p.RestPolicies)
			loose := x.p.RestPolicies[slices.IndexFunc(x.p.RestPolicies, func(p plan.RestPolicy) bool { return p.Name == policy })]
			loose.Name = own
			x.p.RestPolicies = append(x.p.RestPolicies, loose)
			x.roles(body, func(_ *[]civil.Period, rest *[]string) {
				*rest = slices.Clone(*rest)
				for j, name := range *rest {
					if name == policy {
						(*rest)[j] = own
					}
				}
			})
		}
		loosen(&x.p.RestPolicies[i], r)
	})
}

// loosen takes the limit of one rule out of a policy.
func loosen(p *plan.RestPolicy, r rule) {
	switch r {
	case dailyRest:
		p.DailyRest = 0
	case weeklyRest:
		p.WeeklyRest = 0
	case dayRun:
		p.RunDays = 0
	case dayMinutes:
		p.DayMinutes = 0
	case daySpan:
		p.DaySpan = 0
	case weekMinutes:
		p.WeekMinutes = 0
	case heightMinutes:
		p.HeightDay = 0
	case breakRule:
		p.Stretch = 0
	}
}

// limitOf words what a policy asks under a rule.
func limitOf(p *plan.RestPolicy, r rule) string {
	switch r {
	case dailyRest:
		return "asks for " + p.DailyRest.String() + " of rest between days"
	case weeklyRest:
		return "asks for " + number(restCount(p)) + " × " + p.WeeklyRest.String() + " of rest in " + number(int(blockDays(p))) + " days"
	case dayRun:
		return "allows " + number(p.RunDays) + " days in a row"
	case dayMinutes:
		return "allows " + p.DayMinutes.String() + " in a day"
	case daySpan:
		return "allows " + p.DaySpan.String() + " from the first start to the last end of a day"
	case weekMinutes:
		return "allows " + p.WeekMinutes.String() + " in a week"
	case heightMinutes:
		return "allows " + p.HeightDay.String() + " at height in a day"
	}
	return "allows " + p.Stretch.String() + " without a break of " + p.Break.String()
}
