package page

import (
	"strings"
	"testing"

	"mastworth/api/page/method"
)

// Every word that the methods ask for is in the catalogue, and every word there is asked for.
func TestMethodsHaveTheirWords(t *testing.T) {
	used := map[string]bool{}
	for _, k := range method.Kinds() {
		used["methods.kind."+string(k)] = true
		Text("methods.kind." + string(k))
	}
	list := Methods() // panics where a word is missing
	if _, err := NewMethodPage(&list); err != nil {
		t.Fatal(err)
	}
	for _, g := range method.Groups() {
		used["method.group."+g.Name] = true
		for _, m := range g.Methods {
			for _, part := range []string{"title", "answers", "limits", "leans"} {
				used["method."+g.Name+"."+m.Name+"."+part] = true
			}
			for _, s := range m.Symbols {
				used["method.symbol."+s.Means] = true
			}
		}
	}
	for key := range catalogue() {
		if (strings.HasPrefix(key, "method.") || strings.HasPrefix(key, "methods.kind.")) && !used[key] {
			t.Errorf("nobody asks for %s", key)
		}
	}
}
