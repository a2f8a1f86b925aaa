package httpd

import (
	"encoding/json"
	"net/http"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/jsonschema-go/jsonschema"
)

// The schema is the standard's own, kept in testdata; README.md there says whose.
func TestTheDescriptionOfTheInterfaceFitsTheSchemaOfOpenAPI(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("testdata", "openapi-3.1-schema.json"))
	if err != nil {
		t.Fatal(err)
	}
	var schema jsonschema.Schema
	if err := json.Unmarshal(text, &schema); err != nil {
		t.Fatal(err)
	}
	resolved, err := schema.Resolve(nil)
	if err != nil {
		t.Fatal(err)
	}
	described := (&program{site: open(t)}).get("/openapi.json")
	doc := func() map[string]any { return read[map[string]any](t, described, http.StatusOK) }
	if err := resolved.Validate(doc()); err != nil {
		t.Error(err)
	}
	for what, spoil := range map[string]func(map[string]any){
		"another version":          func(d map[string]any) { d["openapi"] = "3.0.0" },
		"no title":                 func(d map[string]any) { delete(d["info"].(map[string]any), "title") },
		"a member that is none":    func(d map[string]any) { d["swagger"] = "2.0" },
		"a path without its slash": func(d map[string]any) { d["paths"].(map[string]any)["yard"] = map[string]any{} },
		"a parameter that is nowhere": func(d map[string]any) {
			d["components"].(map[string]any)["parameters"] = map[string]any{"x": map[string]any{"name": "x", "schema": map[string]any{}}}
		},
	} {
		d := doc()
		spoil(d)
		if resolved.Validate(d) == nil {
			t.Errorf("%s: the schema takes it", what)
		}
	}
}
