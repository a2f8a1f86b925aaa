package weather

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/id"
	"rungbook/internal/verdict"
)

// mended is a reading corrected by ivo.
func mended(t interface{ Fatal(...any) }, r Reading, why CorrectionReason, change func(*Said)) Reading {
	to := r.Said()
	change(&to)
	out, err := r.Corrected(Correction{By: "ivo", At: noon, Why: why}, to)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestACorrectionClearsNothingThatIsStoppedNow(t *testing.T) {
	gale := func(r *Reading) { r.Gust = ref(Speed(710)) }
	calmer := func(s *Said) { s.Gust = ref(Speed(80)) }
	again := calm(func(r *Reading) { r.At = noon.Add(-1) })
	for name, c := range map[string]struct {
		readings []Reading
		want     verdict.Level
	}{
		"a gust of 71 for 8":           {[]Reading{mended(t, calm(gale), Mistyped, calmer)}, verdict.Stops},
		"and read again":               {[]Reading{mended(t, calm(gale), Mistyped, calmer), again}, verdict.Clear},
		"read again before":            {[]Reading{calm(func(r *Reading) { r.At = noon.Add(-9) }), mended(t, calm(gale), Mistyped, calmer)}, verdict.Stops},
		"corrected upwards":            {[]Reading{mended(t, calm(), Mistyped, func(s *Said) { s.Gust = ref(Speed(150)) })}, verdict.Stops},
		"clear before and after":       {[]Reading{mended(t, calm(), Mistyped, func(s *Said) { s.Gust = ref(Speed(85)) })}, verdict.Clear},
		"clear, struck out":            {[]Reading{mended(t, calm(), NeverRead, func(*Said) {})}, verdict.Stops},
		"a gale, struck out":           {[]Reading{calm(func(r *Reading) { r.At = noon.Add(-9) }), mended(t, calm(gale), OfAnother, func(*Said) {})}, verdict.Stops},
		"struck out, and read again":   {[]Reading{mended(t, calm(gale), OfAnother, func(*Said) {}), again}, verdict.Clear},
		"thunder taken back":           {[]Reading{mended(t, Reading{Kind: Thunder, At: noon.Add(-9)}, NeverRead, func(*Said) {}), again}, verdict.Stops},
		"thunder of a reading, too":    {[]Reading{mended(t, calm(func(r *Reading) { r.Thunder = true }), Mistyped, func(s *Said) { s.Thunder = false }), again}, verdict.Stops},
		"a gale lower than the mended": {[]Reading{mended(t, calm(func(r *Reading) { r.Ice = IceSeen }), Mistyped, func(s *Said) { s.Ice = NoIce })}, verdict.Stops},
	} {
		s := Judge(limits(), deck, c.readings, noon)
		if s.Level() != c.want {
			t.Errorf("%s: %s, want %s: %v", name, s.Level(), c.want, s.Findings)
		}
	}
	s := Judge(limits(), deck, []Reading{mended(t, calm(gale), Mistyped, calmer)}, noon)
	if len(s.Findings) != 1 || s.Findings[0].Rule != GustRule || s.Wind.Gust != 80 || !strings.Contains(s.Findings[0].Found.In(verdict.Style{}), "before it was corrected") {
		t.Errorf("got %+v", s)
	}
}

// TestNoCorrectionMakesAnAnswerMilder corrects random readings at random.
func TestNoCorrectionMakesAnAnswerMilder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		speed := func(name string) *Speed { return ref(Speed(rapid.IntRange(0, 160).Draw(t, name))) }
		var list []Reading
		for range rapid.IntRange(1, 4).Draw(t, "readings") {
			r := calm(func(r *Reading) {
				r.At = noon.Add(-civil.Minutes(rapid.IntRange(0, 60).Draw(t, "ago")))
				r.Station = rapid.SampledFrom([]id.Station{"", "deck"}).Draw(t, "of")
				r.Mean = speed("mean")
				r.Gust = ref(max(*r.Mean, *speed("gust")))
				r.Thunder = rapid.Bool().Draw(t, "thunder")
			})
			list = append(list, r)
		}
		was := Judge(limits(), deck, list, noon)
		n := rapid.IntRange(0, len(list)-1).Draw(t, "corrected")
		to := list[n].Said()
		to.Mean = speed("to")
		to.Gust, to.Thunder = ref(*to.Mean+1), false
		to.Celsius = ref(Celsius(200))
		why := rapid.SampledFrom(CorrectionReasons()).Draw(t, "why")
		fixed, err := list[n].Corrected(Correction{By: "ivo", Why: why}, to)
		if err != nil {
			t.Fatal(err)
		}
		if fixed, err = fixed.AgreedTo(Agreement{By: "ngozi"}); err != nil {
			t.Fatal(err)
		}
		list[n] = fixed
		now := Judge(limits(), deck, list, noon)
		if was.Level() == verdict.Stops && now.Level() != verdict.Stops {
			t.Fatalf("it stopped: %v, and is %s since the correction", was.Findings, now.Level())
		}
		if now.Resume < was.Resume {
			t.Fatalf("work resumes at %v, before at %v", now.Resume, was.Resume)
		}
	})
}

func TestAStormStandsUntilASecondPersonAgreesToItsCorrection(t *testing.T) {
	slip := calm(func(r *Reading) { r.By, r.Gust = "ivo", ref(Speed(710)) })
	told := Reading{Kind: StormPassed, From: noon.Add(-600), At: noon.Add(-300)}
	for name, c := range map[string]Reading{
		"mistyped":               mended(t, slip, Mistyped, func(s *Said) { s.Gust = ref(Speed(80)) }),
		"struck out":             mended(t, slip, NeverRead, func(*Said) {}),
		"told, and there was no": mended(t, told, NeverRead, func(*Said) {}),
	} {
		if !c.MayBeStorm(120) || !c.Unagreed(120) {
			t.Errorf("%s: one person alone lifted it", name)
		}
		if _, err := c.AgreedTo(Agreement{By: "ivo"}); fault.Of(err) != fault.Forbidden {
			t.Errorf("%s: who corrected it agrees: %v", name, err)
		}
		agreed, err := c.AgreedTo(Agreement{By: "ngozi"})
		if err != nil || agreed.MayBeStorm(120) || agreed.Unagreed(120) {
			t.Errorf("%s: agreed, and it stands: %v", name, err)
		}
		if c.Corrections[0].Agreed != nil {
			t.Errorf("%s: the reading agreed to was changed in place", name)
		}
		if _, err := agreed.AgreedTo(Agreement{By: "ngozi"}); fault.Of(err) != fault.Invalid {
			t.Errorf("%s: agreed twice: %v", name, err)
		}
	}
	later := mended(t, told, Mistyped, func(s *Said) { s.At += 60 })
	if n := len(later.Blew()); n != 2 || later.Blew()[0].At != told.At {
		t.Errorf("a storm of another time: %d blew", n)
	}
	up := mended(t, calm(), Mistyped, func(s *Said) { s.Gust = ref(Speed(210)) })
	if !up.MayBeStorm(120) || up.Unagreed(120) {
		t.Error("corrected upwards it is a storm at once")
	}
}

func TestWhatACorrectionMayNotBe(t *testing.T) {
	struck := mended(t, calm(), NeverRead, func(*Said) {})
	for name, c := range map[string]struct {
		r    Reading
		why  CorrectionReason
		want fault.Kind
	}{
		"no reason":       {calm(), "", fault.Invalid},
		"another reason":  {calm(), "because", fault.Invalid},
		"nothing differs": {calm(), Mistyped, fault.Invalid},
		"thunder mended":  {Reading{Kind: Thunder, At: noon}, Mistyped, fault.Invalid},
		"struck already":  {struck, NeverRead, fault.Conflict},
	} {
		if _, err := c.r.Corrected(Correction{Why: c.why}, c.r.Said()); fault.Of(err) != c.want {
			t.Errorf("%s: %v", name, err)
		}
	}
	moved := mended(t, calm(), Mistyped, func(s *Said) { s.At, s.Gust = s.At+5, ref(Speed(90)) })
	if moved.At != calm().At {
		t.Error("a correction moved the time of a reading")
	}
	twice := mended(t, moved, Misread, func(s *Said) { s.Gust = ref(Speed(95)) })
	if len(twice.Corrections) != 2 || *twice.Before(0).Gust != 80 || *twice.Before(1).Gust != 90 || *twice.Gust != 95 {
		t.Errorf("got %+v", twice.Corrections)
	}
}
