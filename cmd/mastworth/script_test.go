package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"mastworth": func() { os.Exit(mainExit()) }})
}

// TestScripts runs the command line as a user would; each file is one story.
func TestScripts(t *testing.T) {
	top, err := filepath.Abs(filepath.Join("..", ".."))
	if err != nil {
		t.Fatal(err)
	}
	testscript.Run(t, testscript.Params{
		Dir: filepath.Join("testdata", "script"),
		Setup: func(e *testscript.Env) error {
			e.Setenv("EXAMPLES", filepath.Join(top, "testdata", "examples"))
			e.Setenv("DATA", filepath.Join(top, "..", "shared", "data"))
			return nil
		},
		Condition: func(cond string) (bool, error) {
			// Scripts over the open data run where they lie beside the checkout, and must run in CI.
			_, err := os.Stat(filepath.Join(top, "..", "shared", "data"))
			return cond == "data" && (err == nil || os.Getenv("CI") != ""), nil
		},
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}
