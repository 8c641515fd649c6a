package main

import (
	"encoding/json"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"mastworth/api/document"
)

// The README's table of settings is the program's own.
func TestReadmeNamesEverySetting(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	d := defaultConfig()
	for _, o := range options {
		row := "| `" + o.name + "` | `" + o.env() + "` | `--" + o.flag() + "` | `" + o.show(&d) + "` | " + o.help + " |"
		if !strings.Contains(string(text), row) {
			t.Errorf("the README lacks the row\n%s", row)
		}
	}
}

// The README's worked example is what the program answers.
func TestReadmeExampleIsReal(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, _ := strings.Cut(string(text), "-d '\n")
	request, rest, ok := strings.Cut(rest, "'\n```")
	_, rest, okAnswer := strings.Cut(rest, "```json\n")
	answer, _, okEnd := strings.Cut(rest, "```")
	if !ok || !okAnswer || !okEnd {
		t.Fatal("the README's example is not where it was")
	}
	e, ref, err := estimateDocument([]byte(request), ".", streams{err: io.Discard})
	if err != nil {
		t.Fatal(err)
	}
	full, err := json.Marshal(document.FromEstimate(&e, ref, version))
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Best    float64          `json:"best_hub_height_m"`
		Heights []map[string]any `json:"heights"`
		Verdict any              `json:"verdict"`
	}
	var told struct {
		Best    float64        `json:"best_hub_height_m"`
		Height  map[string]any `json:"heights[1]"`
		Verdict any            `json:"verdict"`
	}
	if err := errors.Join(json.Unmarshal(full, &got), json.Unmarshal([]byte(answer), &told)); err != nil {
		t.Fatal(err)
	}
	within(t, "best_hub_height_m", got.Best, told.Best)
	within(t, "heights[1]", got.Heights[1], told.Height)
	within(t, "verdict", got.Verdict, told.Verdict)
}

// within checks that everything told is also in what was got, numbers to nine digits.
func within(t *testing.T, at string, got, told any) {
	t.Helper()
	switch told := told.(type) {
	case map[string]any:
		object, ok := got.(map[string]any)
		if !ok {
			t.Errorf("%s is %v", at, got)
			return
		}
		for name, v := range told {
			within(t, at+"."+name, object[name], v)
		}
	case []any:
		list, ok := got.([]any)
		if !ok || len(list) != len(told) {
			t.Errorf("%s is %v", at, got)
			return
		}
		for i, v := range told {
			within(t, at, list[i], v)
		}
	case float64:
		if v, ok := got.(float64); !ok || math.Abs(v-told) > 1e-8*math.Abs(told) {
			t.Errorf("%s is %v, the README says %v", at, got, told)
		}
	default:
		if got != told {
			t.Errorf("%s is %v, the README says %v", at, got, told)
		}
	}
}
