package page

import (
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"
)

// named is how the estimate's code names a number that has a source.
var named = regexp.MustCompile(`(?:assumed\(|Provenance\{+\s*(?:What:\s*)?|, )"([a-z_]+(?:\.[a-z_0-9]+)*)"`)

// Whatever an estimate tells the source of has words, and no words are idle.
func TestWordsOfProvenance(t *testing.T) {
	tree := os.DirFS("../../yield")
	found := map[string]bool{"turbine.test_log": true, "solar.array_kw": true} // which stand otherwise there
	if err := fs.WalkDir(tree, ".", func(path string, _ fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		text, err := fs.ReadFile(tree, path)
		for _, m := range named.FindAllStringSubmatch(string(text), -1) {
			if sure := strings.Contains(m[0], "assumed") || strings.Contains(m[0], "Provenance"); sure && catalogue()["provenance."+m[1]] == "" {
				t.Errorf("%s names %s, for which there are no words", path, m[1])
			}
			found[m[1]] = true
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	for key := range catalogue() {
		if what, is := strings.CutPrefix(key, "provenance."); is && !found[what] {
			t.Errorf("nothing is named %s", what)
		}
	}
}
