package plan

import (
	"errors"
	"fmt"
	"strconv"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"rungbook/internal/civil"
)

// mostNumber is the largest number a PROBLEM may hold.
const mostNumber = 1_000_000_000

// wrongValue is a value that is JSON but not what its member means.
type wrongValue struct{ sentence string }

func (w wrongValue) Error() string { return w.sentence }

func wrong(format string, args ...any) error { return wrongValue{fmt.Sprintf(format, args...)} }

// readers say how the values of a PROBLEM are read; instants are of zone.
func readers(zone civil.Zone) *json.Unmarshalers {
	return json.JoinUnmarshalers(
		json.UnmarshalFromFunc(readNumber[int](0, mostNumber)),
		json.UnmarshalFromFunc(readNumber[int64](0, mostNumber)),
		json.UnmarshalFromFunc(readNumber[civil.Minutes](0, mostNumber)),
		timeReaders(zone),
		json.UnmarshalFromFunc(func(dec *jsontext.Decoder, z *civil.Zone) error {
			*z = zone // read before, because instants need it
			return dec.SkipValue()
		}),
		json.UnmarshalFromFunc(readPolicies),
		json.UnmarshalFromFunc(func(_ *jsontext.Decoder, e *Exercise) error {
			e.GroupMin = 1
			return errors.ErrUnsupported // and read the members as usual
		}),
	)
}

// planReaders say how the values of a PLAN are read.
func planReaders(zone civil.Zone) *json.Unmarshalers {
	const most = 1<<63 - 1
	return json.JoinUnmarshalers(
		json.UnmarshalFromFunc(readNumber[int64](-most, most)),
		json.UnmarshalFromFunc(readNumber[Cost](0, most)),
		timeReaders(zone),
	)
}

func timeReaders(zone civil.Zone) *json.Unmarshalers {
	return json.JoinUnmarshalers(
		json.UnmarshalFromFunc(func(dec *jsontext.Decoder, d *civil.Day) error {
			return readText(dec, d, civil.ParseDay)
		}),
		json.UnmarshalFromFunc(func(dec *jsontext.Decoder, t *civil.Instant) error {
			return readText(dec, t, zone.Parse)
		}),
		json.UnmarshalFromFunc(func(dec *jsontext.Decoder, p *civil.Period) error {
			return readPeriod(dec, p)
		}),
		json.UnmarshalFromFunc(func(dec *jsontext.Decoder, c *clock) error {
			return readText(dec, (*civil.Minutes)(c), civil.ParseClock)
		}),
		json.UnmarshalFromFunc(func(dec *jsontext.Decoder, w *Window) error {
			var f windowFile
			err := json.UnmarshalDecode(dec, &f)
			*w = Window{f.Weekdays, civil.Minutes(f.From), civil.Minutes(f.To)}
			return err
		}),
		json.UnmarshalFromFunc(func(dec *jsontext.Decoder, l *Daylight) error {
			var f daylightFile
			err := json.UnmarshalDecode(dec, &f)
			*l = Daylight{f.Day, civil.Minutes(f.From), civil.Minutes(f.To)}
			return err
		}),
	)
}

// clock is local clock time, "08:00" to "24:00" in a file.
type clock civil.Minutes

type windowFile struct {
	Weekdays []int `json:"weekdays"`
	From     clock `json:"from"`
	To       clock `json:"to"`
}

type daylightFile struct {
	Day  civil.Day `json:"day"`
	From clock     `json:"from"`
	To   clock     `json:"to"`
}

// readNumber returns a reader of whole numbers in [least, most].
func readNumber[N ~int | ~int64](least, most int64) func(*jsontext.Decoder, *N) error {
	return func(dec *jsontext.Decoder, n *N) error {
		v, err := dec.ReadValue()
		if err != nil {
			return err
		}
		switch v.Kind() {
		case '0':
		case '{', '[':
			return wrong("must be a whole number")
		default:
			return wrong("is %s, must be a whole number", v)
		}
		got, err := strconv.ParseInt(string(v), 10, 64)
		if err != nil || got < least || got > most {
			return wrong("is %s, must be a whole number from %d to %d", v, least, most)
		}
		*n = N(got)
		return nil
	}
}

func readText[T any](dec *jsontext.Decoder, to *T, parse func(string) (T, error)) error {
	tok, err := dec.ReadToken()
	if err != nil {
		return err
	}
	if tok.Kind() != '"' {
		if tok.Kind() == '{' || tok.Kind() == '[' {
			return wrong("must be a text")
		}
		return wrong("is %s, must be a text", tok)
	}
	got, err := parse(tok.String())
	if err != nil {
		return wrong("%s", err)
	}
	*to = got
	return nil
}

// readPeriod reads a period written as [start, end].
func readPeriod(dec *jsontext.Decoder, p *civil.Period) error {
	var ends []civil.Instant
	if dec.PeekKind() != '[' {
		return wrong("must be a period of the form [start, end]")
	}
	if err := json.UnmarshalDecode(dec, &ends); err != nil {
		return err
	}
	if len(ends) != 2 {
		return wrong("holds %d times, must be a period of the form [start, end]", len(ends))
	}
	*p = civil.Period{Start: ends[0], End: ends[1]}
	return nil
}

// readPolicies reads the map of rest policies; their order is that of names.
func readPolicies(dec *jsontext.Decoder, list *[]RestPolicy) error {
	if dec.PeekKind() != '{' {
		return wrong("must be an object that maps a name to a rest policy")
	}
	named := make(map[string]RestPolicy)
	if err := json.UnmarshalDecode(dec, &named); err != nil {
		return err
	}
	*list = make([]RestPolicy, 0, len(named))
	for name, p := range named {
		p.Name = name
		*list = append(*list, p)
	}
	sortPolicies(*list)
	return nil
}

// writers are the inverse of the readers.
func writers(zone civil.Zone) *json.Marshalers {
	return json.JoinMarshalers(
		json.MarshalToFunc(func(enc *jsontext.Encoder, z civil.Zone) error {
			return enc.WriteToken(jsontext.String(z.Name()))
		}),
		json.MarshalToFunc(func(enc *jsontext.Encoder, t civil.Instant) error {
			return enc.WriteToken(jsontext.String(zone.Format(t)))
		}),
		json.MarshalToFunc(func(enc *jsontext.Encoder, p civil.Period) error {
			return json.MarshalEncode(enc, []civil.Instant{p.Start, p.End})
		}),
		json.MarshalToFunc(func(enc *jsontext.Encoder, c clock) error {
			return enc.WriteToken(jsontext.String(civil.ClockString(civil.Minutes(c))))
		}),
		json.MarshalToFunc(func(enc *jsontext.Encoder, w Window) error {
			return json.MarshalEncode(enc, windowFile{w.Weekdays, clock(w.From), clock(w.To)})
		}),
		json.MarshalToFunc(func(enc *jsontext.Encoder, l Daylight) error {
			return json.MarshalEncode(enc, daylightFile{l.Day, clock(l.From), clock(l.To)})
		}),
		json.MarshalToFunc(func(enc *jsontext.Encoder, list []RestPolicy) error {
			named := make(map[string]RestPolicy, len(list))
			for _, p := range list {
				named[p.Name] = p
			}
			return json.MarshalEncode(enc, named)
		}),
	)
}
