package openapi

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
)

var update = flag.Bool("update", false, "write the lines of overlay.yaml that keep the order of fields")

const orderHeading = "  # Fields stay in the order of the contract, so that what is written reads like it. A test holds these lines against it.\n"

// The generator sorts fields by name unless it is told their order; overlay.yaml tells it. After a change of the contract,
// run go test ./openapi -update and go generate ./openapi.
func TestOverlayKeepsTheContractsOrder(t *testing.T) {
	text, err := os.ReadFile("overlay.yaml")
	if err != nil {
		t.Fatal(err)
	}
	head, order, found := strings.Cut(string(text), orderHeading)
	if !found {
		t.Fatal("overlay.yaml has lost the heading of the order")
	}
	want := fieldOrder(t)
	switch {
	case order == want:
	case *update:
		if err := os.WriteFile("overlay.yaml", []byte(head+orderHeading+want), 0o644); err != nil {
			t.Fatal(err)
		}
	default:
		t.Error("the order of fields in overlay.yaml is not that of openapi.yaml; run go test ./openapi -update && go generate ./openapi")
	}
}

// fieldOrder writes an overlay action for every schema of the contract with two fields or more.
func fieldOrder(t *testing.T) string {
	t.Helper()
	var b strings.Builder
	schemas := member(t, member(t, contract(t), "components"), "schemas")
	for _, s := range schemas {
		body, ok := s.Value.(yaml.MapSlice)
		if !ok {
			t.Fatalf("schema %v is no mapping", s.Key)
		}
		fields := member(nil, body, "properties")
		if len(fields) < 2 {
			continue
		}
		fmt.Fprintf(&b, "  - target: $.components.schemas.%s.properties\n    update:\n", s.Key)
		line := "      {"
		for i, f := range fields {
			piece := fmt.Sprintf("%s: {x-order: %d}, ", f.Key, i+1)
			if i == len(fields)-1 {
				piece = strings.TrimSuffix(piece, ", ") + "}"
			}
			if len(line)+len(piece) > 120 {
				b.WriteString(strings.TrimRight(line, " ") + "\n")
				line = "       "
			}
			line += piece
		}
		b.WriteString(line + "\n")
	}
	return b.String()
}

func contract(t *testing.T) yaml.MapSlice {
	t.Helper()
	var doc yaml.MapSlice
	if err := yaml.UnmarshalWithOptions(Spec(), &doc, yaml.UseOrderedMap()); err != nil {
		t.Fatal(err)
	}
	return doc
}

// member is a mapping inside a mapping; where it is missing the test fails, or with a nil t the answer is empty.
func member(t *testing.T, m yaml.MapSlice, name string) yaml.MapSlice {
	for _, i := range m {
		if i.Key == name {
			if v, ok := i.Value.(yaml.MapSlice); ok {
				return v
			}
		}
	}
	if t != nil {
		t.Helper()
		t.Fatalf("the contract has no mapping %s", name)
	}
	return nil
}

func TestTilt(t *testing.T) {
	for text, want := range map[string]Tilt{`"best"`: {Best: true}, `30`: {Deg: 30}, `12.5`: {Deg: 12.5}} {
		var got Tilt
		if err := json.Unmarshal([]byte(text), &got); err != nil || got != want {
			t.Errorf("%s: %+v, %v", text, got, err)
		}
		if back, err := json.Marshal(got); err != nil || string(back) != text {
			t.Errorf("%+v: %s, %v", got, back, err)
		}
	}
	var got Tilt
	if err := json.Unmarshal([]byte(`"steep"`), &got); err == nil {
		t.Error("a word other than best was taken")
	}
}

// What the program carries is the contract as it is written: go generate was run.
func TestTheContractIsPacked(t *testing.T) {
	text, err := os.ReadFile("openapi.yaml")
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(text, Spec()) {
		t.Error("openapi.yaml.gz holds another contract; run go generate ./openapi")
	}
}
