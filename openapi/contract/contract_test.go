package contract

import (
	"strings"
	"testing"
)

// The whole contract can be read; the numbers are counted by other means in the spec's own tests.
func TestRead(t *testing.T) {
	doc, err := Read()
	if err != nil {
		t.Fatal(err)
	}
	site := doc.Schema("SiteInput")
	if doc.Title != "Mastworth" || len(doc.Schemas) < 200 || site == nil || !site.Type.Closed {
		t.Fatalf("%s, %d schemas, %+v", doc.Title, len(doc.Schemas), site)
	}
	for _, p := range site.Type.Properties {
		if p.Name == "latitude" && (!p.Required || p.Type.Kind != "number" || len(p.Type.Limits) != 2 || p.Type.Limits[0] != Limit{"minimum", "-90"}) {
			t.Errorf("%+v", p)
		}
	}
	for _, g := range doc.Groups {
		if len(g.Operations) == 0 {
			t.Errorf("the group %s is empty", g.Name)
		}
		for _, op := range g.Operations {
			if op.ID == "" || op.Summary == "" || len(op.Answers) == 0 {
				t.Errorf("%+v", op)
			}
			if op.ID == "createEstimate" && (op.Body == nil || !op.Body.Required || op.Body.Media[0].Type.Ref != "EstimateRequest" ||
				!strings.HasPrefix(op.Body.Media[0].Example, `{"site":{"latitude":`) || op.Answers[0].Media[0].Type.Ref != "Estimate") {
				t.Errorf("%+v", op)
			}
		}
	}
}

func TestParseNamesWhatItDoesNotRead(t *testing.T) {
	const head = "tags: [{name: a}]\npaths:\n  /x:\n    get:\n      tags: [a]\n      responses:\n        '200':\n          description: ok\n"
	for spec, want := range map[string]string{
		"a: [":                                 "contract: ",
		head + "          links: {}\n":         "links is not read",
		"tags: []\npaths: {/x: {trace: {}}}\n": "trace is not read",
		"tags: {}\n":                           "must be a list",
		"paths: [1]\n":                         "must be a mapping",
		"paths: {/x: {get: {tags: [b]}}}\n":    "needs one tag",
		"components: {schemas: {A: {if: 1}}}":  "if is not read",
		"components: {schemas: {A: {$ref: '#/components/schemas/B'}}}": "there is no #/components/schemas/B",
	} {
		if _, err := Parse([]byte(spec)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %q", spec, err, want)
		}
	}
}
