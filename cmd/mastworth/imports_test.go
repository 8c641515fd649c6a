package main

import (
	"encoding/json"
	"errors"
	"io"
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// listed is the part of go list's answer the import rule needs.
type listed struct {
	ImportPath string
	Imports    []string
	Deps       []string
}

func goList(t *testing.T) []listed {
	t.Helper()
	out, err := exec.CommandContext(t.Context(), "go", "list", "-json=ImportPath,Imports,Deps", "mastworth/...").Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for dec := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p listed
		switch err := dec.Decode(&p); {
		case errors.Is(err, io.EOF):
			return all
		case err != nil:
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

// The core does no input or output, so it reaches none of these, however deep.
func TestCoreIsPure(t *testing.T) {
	for _, p := range goList(t) {
		if !strings.HasPrefix(p.ImportPath, "mastworth/resource") && !strings.HasPrefix(p.ImportPath, "mastworth/yield") {
			continue
		}
		if p.ImportPath == "mastworth/resource/fetch" { // the one room that talks to the network
			continue
		}
		for _, banned := range []string{"net/http", "database/sql", "os/exec", "log/slog", "github.com/gin-gonic/gin",
			"go.mongodb.org/mongo-driver/v2/bson"} {
			if banned == "net/http" && p.ImportPath == "mastworth/resource/ingest" {
				continue // a codec of the Parquet library has a helper for it, which nobody calls
			}
			if slices.Contains(p.Deps, banned) {
				t.Errorf("%s reaches %s", p.ImportPath, banned)
			}
		}
	}
}

// allowed says which packages of this module each package may import. A package that is not in the table may not exist.
var allowed = map[string][]string{
	"resource":          {},
	"resource/ingest":   {"resource"},
	"resource/fetch":    {"resource", "resource/ingest"},
	"resource/climate":  {"resource"},
	"resource/extreme":  {"resource"},
	"resource/longterm": {"resource"},
	"resource/shelter":  {"resource"},
	"resource/terrain":  {"resource"},
	"yield":             {"resource"},
	"yield/cost":        {"yield", "resource"},
	"yield/solar":       {"yield", "resource"},
	"yield/balance":     {"yield", "resource"},
	"yield/harvest":     {"yield", "resource"},
	"yield/bins":        {"yield", "resource"},
	"yield/drive":       {"yield", "resource"},
	"yield/machine":     {"yield", "yield/drive", "yield/rotor", "resource"},
	"yield/rotor":       {"yield", "resource"},
	"yield/spread":      {"yield", "resource"},
	"yield/household":   {"yield", "resource"},
	"yield/decide":      {"yield", "resource"},
	"api/words":         {},
	"api/chart":         {"api/words", "yield/assess", "yield", "resource", "resource/climate", "resource/shelter", "resource/terrain", "resource/extreme", "resource/longterm"},
	"yield/assess": {"yield", "yield/bins", "yield/cost", "yield/decide", "yield/drive", "yield/household", "yield/machine", "yield/spread", "yield/rotor", "yield/solar", "resource", "resource/extreme", "resource/longterm", "resource/shelter",
		"resource/terrain"},
	"storage":                       {"resource", "yield"},
	"storage/sqlite":                {"storage"},
	"storage/postgres":              {"storage"},
	"storage/postgres/postgrestest": {},
	"deploy/running":                {},
	"deploy/load":                   {},
	"deploy/faults":                 {},
	"deploy/ratio":                  {},
	"deploy/bench":                  {},
	"deploy/footprint":              {},
	"api/browsertest":               {},
	"storage/storagetest":           {"storage", "resource"},
	"openapi":                       {},
	"api/document": {"openapi", "yield/assess", "yield", "yield/balance", "yield/bins", "yield/cost", "yield/decide", "yield/drive", "yield/harvest", "yield/household", "yield/machine",
		"yield/rotor", "yield/spread", "resource/fetch", "resource", "resource/climate", "resource/extreme",
		"resource/ingest", "resource/longterm", "resource/shelter", "resource/terrain"},
	"api/page/form":    {"api/page", "api/document", "api/chart"},
	"api/page":         {"api/words", "api/document", "api/chart", "openapi/contract", "api/page/mathml", "api/page/method", "openapi", "yield", "resource"},
	"api/page/mathml":  {},
	"api/page/method":  {"api/page/mathml"},
	"openapi/contract": {"openapi"},
	"api":              {"api/words", "api/document", "api/chart", "api/page", "api/page/form", "openapi", "storage", "yield/assess", "yield/harvest", "yield", "resource", "resource/fetch", "resource/ingest"},
	"cmd/mastworth": {"api", "api/chart", "api/document", "openapi", "storage", "storage/sqlite", "storage/postgres", "yield/assess",
		"yield", "yield/cost", "yield/harvest", "yield/household", "yield/solar", "resource", "resource/climate", "resource/extreme", "resource/fetch", "resource/ingest", "yield/bins", "yield/drive", "yield/machine"},
}

func TestImportsPointOneWay(t *testing.T) {
	for _, p := range goList(t) {
		name := strings.TrimPrefix(p.ImportPath, "mastworth/")
		may, known := allowed[name]
		if !known {
			t.Errorf("package %s is not in the import table", name)
		}
		for _, i := range p.Imports {
			if own, ok := strings.CutPrefix(i, "mastworth/"); ok && !slices.Contains(may, own) {
				t.Errorf("%s imports %s, which the import rule does not allow", name, own)
			}
		}
	}
}
