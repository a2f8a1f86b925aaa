package archive

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/google/jsonschema-go/jsonschema"

	"rungbook/internal/civil"
	"rungbook/internal/id"
	"rungbook/internal/store"
)

// dialect is what the schemas are written in (JSON Schema, draft 2020-12).
const dialect = "https://json-schema.org/draft/2020-12/schema"

// entryLine has the members of an entry of the ledger, for its schema; its bytes are
// the ledger's own.
type entryLine struct {
	V            int            `json:"v"`
	Kind         string         `json:"kind"`
	ID           string         `json:"id"`
	Rev          int64          `json:"rev"`
	Act          string         `json:"act"`
	Yard         string         `json:"yard"`
	RecordedAt   civil.Instant  `json:"recorded_at"`
	HappenedAt   civil.Instant  `json:"happened_at"`
	EffectiveDay civil.Day      `json:"effective_day"`
	Actor        string         `json:"actor"`
	Role         string         `json:"role"`
	For          string         `json:"for"`
	Key          string         `json:"key"`
	Corrects     []int64        `json:"corrects"`
	RuleBook     string         `json:"rulebook"`
	Body         jsontext.Value `json:"body"`
}

// ownForms are the types that stand in a line as text or as JSON of their own.
func ownForms() map[reflect.Type]*jsonschema.Schema {
	return map[reflect.Type]*jsonschema.Schema{
		reflect.TypeFor[civil.Instant](): {Type: "string",
			Description: "A moment: local time, offset and zone (RFC 9557), to the minute; empty = none.",
			Pattern:     `^$|^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2})?([+-]\d{2}:\d{2}|Z)\[[^\]]+\]$`},
		reflect.TypeFor[civil.Day](): {Type: "string", Description: "A local day (ISO 8601); empty = none.", Pattern: `^$|^\d{4}-\d{2}-\d{2}$`},
		reflect.TypeFor[id.Commitment](): {
			Description: `What a person typed; {"erased":true} where it was erased.`,
			AnyOf: []*jsonschema.Schema{{Type: "string"}, {Type: "object", Required: []string{"erased"},
				Properties: map[string]*jsonschema.Schema{"erased": {Const: jsonschema.Ptr[any](true)}}}}},
		reflect.TypeFor[jsontext.Value](): {Type: "object"},
	}
}

// schemaOf returns the JSON Schema of a part's lines.
func schemaOf(p part) ([]byte, error) {
	s, err := lineSchema(p)
	if err != nil {
		return nil, fmt.Errorf("schema of %s: %w", p.name, err)
	}
	text, err := json.MarshalIndent(s, "", " ")
	return append(text, '\n'), err
}

func lineSchema(p part) (*jsonschema.Schema, error) {
	forms := &jsonschema.ForOptions{TypeSchemas: ownForms()}
	s, err := jsonschema.ForType(p.line, forms)
	if err != nil {
		return nil, err
	}
	if kind, isRecord := strings.CutPrefix(p.name, "records/"); isRecord {
		body := s
		if s, err = jsonschema.ForType(reflect.TypeFor[store.KeptRecord](), forms); err != nil {
			return nil, err
		}
		body.Description = "The record of kind " + strings.TrimSuffix(kind, ".jsonl") + "."
		s.Properties["record"] = body
	}
	s.Schema, s.Title, s.Description = dialect, p.name, p.says
	return s, nil
}
