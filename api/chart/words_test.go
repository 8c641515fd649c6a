package chart

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	catalogue "mastworth/api/words"
)

// Every word that the code asks for is in the catalogue, and nothing is there that none asks for.
func TestEveryWordIsThere(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	asked := map[string]bool{}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range regexp.MustCompile(`\bword(?:List)?\("([a-z_]+)"`).FindAllStringSubmatch(string(text), -1) {
			asked["chart."+m[1]] = true
		}
	}
	for key := range asked {
		if _, there := catalogue.All()[key]; !there {
			t.Errorf("the catalogue lacks %q", key)
		}
	}
	for key := range catalogue.All() {
		if strings.HasPrefix(key, "chart.") && !asked[key] {
			t.Errorf("nothing asks for %q", key)
		}
	}
	if len(asked) < 100 {
		t.Errorf("%d words are asked for", len(asked))
	}
	for key, want := range map[string]int{"month_names": 12, "months_short": 12, "months_letter": 12, "compass": 16} {
		if n := len(wordList(key)); n != want {
			t.Errorf("%s are %d", key, n)
		}
	}
}
