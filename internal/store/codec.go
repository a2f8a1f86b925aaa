package store

import (
	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"rungbook/internal/civil"
	"rungbook/internal/fault"
	"rungbook/internal/ledger"
)

// Moments in a body are local time, offset and zone (RFC 9557), so that a
// reader years later needs neither our program nor a table of zones. No moment
// is the empty text.

// readOptions decode a body: strictly, and moments by their offset.
var readOptions = json.JoinOptions(
	json.RejectUnknownMembers(true),
	json.WithUnmarshalers(json.UnmarshalFromFunc(readMoment)),
)

func readMoment(dec *jsontext.Decoder, at *civil.Instant) error {
	var text string
	if err := json.UnmarshalDecode(dec, &text); err != nil {
		return err
	}
	*at = 0
	if text == "" {
		return nil
	}
	var err error
	*at, _, err = civil.ParseStamp(text)
	return err
}

func decodeBody[T any](body []byte) (T, error) {
	var v T
	err := json.Unmarshal(body, &v, readOptions)
	return v, err
}

// writeOptions encode a value with moments as the zone's clock shows them.
func writeOptions(z civil.Zone) json.Options {
	return json.JoinOptions(json.Deterministic(true), json.WithMarshalers(momentMarshaler(z)))
}

func momentMarshaler(z civil.Zone) *json.Marshalers {
	return json.MarshalToFunc(func(enc *jsontext.Encoder, at civil.Instant) error {
		if at == 0 {
			return enc.WriteToken(jsontext.String(""))
		}
		text := z.Stamp(at)
		if _, _, err := civil.ParseStamp(text); err != nil {
			// An entry that can't be read again would stop every page for ever.
			return fault.New(fault.Invalid, "The time %s is too far away to be kept. Give one of this century.", text)
		}
		return enc.WriteToken(jsontext.String(text))
	})
}

// canonical returns a value as canonical JSON with moments in the zone.
func canonical(v any, options json.Options) ([]byte, error) {
	b, err := json.Marshal(v, options)
	if err != nil {
		return nil, err
	}
	return ledger.Canonical(b)
}
