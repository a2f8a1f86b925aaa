package weather

import "math"

// exponent of the power law that raises wind with height: v2 = v1 (h2/h1)^0.2.
// Source: IEC 61400-1, third edition (2005), clause 6.3.1.2, normal wind profile
// (from memory). It is more than the half that platform guidance adds at 20 m.
const exponent = 0.2

// ProfileWords names the profile, for the pages that show an estimate.
const ProfileWords = "power law with exponent 0.2 (IEC 61400-1:2005, 6.3.1.2, from memory)"

// Raise returns what wind read at one height is taken for at another. It never
// lowers: below the instrument the reading itself counts. The answer is rounded up
// to a tenth. Heights below LeastHeight count as it. It is an estimate: between
// steel and around corners wind does what it likes.
func Raise(v Speed, from, to Height) Speed {
	from = max(from, LeastHeight)
	if to <= from || v <= 0 {
		return v
	}
	raised := float64(v) * math.Pow(float64(to)/float64(from), exponent)
	return max(v, Speed(math.Ceil(raised-1e-9)))
}

// allowance is what a mean over another time than ten minutes is multiplied by, in
// tenths: a short one may have met a lull, a long one may hide ten hard minutes.
// Common practice, no source; it never lowers.
func (a Averaging) allowance() int64 {
	switch a {
	case TenMinutes:
		return 10
	case Longer:
		return 11
	case Shorter:
		return 12
	}
	return 15
}

// gustFactor is what an unread gust is taken for, times the mean. Source: a telecom
// wind-speed technical note as quoted by trade pages: about twice the mean.
const gustFactor = 2

// Wind is what a reading is taken for at working height.
type Wind struct {
	Mean, Gust     Speed
	Height         Height // of both
	Estimated      bool   // raised, or allowed for its averaging time
	GustIsEstimate bool   // no gust was read, or it was raised
}

// Wind returns what a reading's wind is taken for at a height; ok is false where it
// states no mean or no height.
func (r Reading) Wind(h Height) (w Wind, ok bool) {
	if r.Mean == nil || r.Height == nil {
		return Wind{}, false
	}
	tenfold := int64(*r.Mean) * r.Averaging.allowance()
	mean := Speed((tenfold + 9) / 10)
	gust := gustFactor * mean
	if r.Gust != nil {
		gust = max(*r.Gust, mean)
	}
	w = Wind{Mean: Raise(mean, *r.Height, h), Gust: Raise(gust, *r.Height, h), Height: max(h, *r.Height)}
	w.Estimated = w.Mean != *r.Mean
	w.GustIsEstimate = r.Gust == nil || w.Gust != *r.Gust
	return w, true
}
