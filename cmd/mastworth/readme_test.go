package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
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
