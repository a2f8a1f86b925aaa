package civil

import (
	"testing"

	"pgregory.net/rapid"
)

func TestParseStampReadsWhatStampWrites(t *testing.T) {
	zones := []string{"Europe/Dublin", "America/Havana", "Asia/Kathmandu", "UTC", "Pacific/Chatham", "Etc/GMT+12"}
	rapid.Check(t, func(t *rapid.T) {
		z, err := LoadZone(rapid.SampledFrom(zones).Draw(t, "zone"))
		if err != nil {
			t.Fatal(err)
		}
		at := Instant(rapid.Int64Range(0, 100*366*minutesPerDay).Draw(t, "at"))
		got, name, err := ParseStamp(z.Stamp(at))
		if err != nil || got != at || name != z.Name() {
			t.Fatalf("ParseStamp(%q) = %d, %q, %v; want %d", z.Stamp(at), got, name, err, at)
		}
	})
}

func TestParseStampKeepsTheOffsetThatWasWritten(t *testing.T) {
	// Dublin never used +03:00; the text still names one moment.
	got, _, err := ParseStamp("2027-03-01T08:00:00+03:00[Europe/Dublin]")
	want, _, _ := ParseStamp("2027-03-01T05:00:00+00:00[Europe/Dublin]")
	if err != nil || got != want {
		t.Errorf("got %d, %v; want %d", got, err, want)
	}
}

func TestParseStampRefusesOtherForms(t *testing.T) {
	for _, s := range []string{
		"", "[UTC]", "2027-03-01T08:00:00+00:00", "2027-03-01T08:00:00+00:00[]", "2027-03-01T08:00:00Z[UTC]",
		"2027-03-01T08:00:01+00:00[UTC]", "2027-03-01T24:00:00+00:00[UTC]", "2027-03-01T08:60:00+00:00[UTC]",
		"2027-02-29T08:00:00+00:00[UTC]", "2027-03-01 08:00:00+00:00[UTC]", "2027-03-01T08:00:00*00:00[UTC]",
		"2027-03-01T08:00:00+24:00[UTC]", "2027-03-01T08:00:00+00:60[UTC]", "2027-03-01T08:00:00+00:00[U C]",
		"2027-03-01T08:00:00+00:00[UTC]]", "2027-03-01T0x:00:00+00:00[UTC]", "2027-03-01T08:00:00+00:00[UTC",
	} {
		if at, _, err := ParseStamp(s); err == nil {
			t.Errorf("%q was read as %d", s, at)
		}
	}
}
