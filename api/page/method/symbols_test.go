package method

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

var (
	letters = regexp.MustCompile(`[\pL]+(?:_(?:\{[^{}]*\}|[\pL\p{Nd}]+))?`)
	sums    = regexp.MustCompile(`[ΣΠ](?:_(?:\{[^{}]*\}|[\pL\p{Nd}∈]+))?`)
	barred  = regexp.MustCompile(`bar\{([^{}]*)\}`)
	// What everybody knows, and counters.
	common = strings.Fields("ln lg exp sin cos tan acos asin min max π Σ Π Γ d i j t m n")
	// A quantity that a formula itself works out: alone before an equals sign.
	worked = regexp.MustCompile(`(?:^|; ?)([\pL]+(?:_(?:\{[^{}]*\}|[\pL\p{Nd}]+))?)′?(?:\([^()]*\))?[²]? ?[=≈∝]`)
)

func lettersOf(formula string) []string {
	return letters.FindAllString(barred.ReplaceAllString(sums.ReplaceAllString(formula, " "), " $1 "), -1)
}

// Every letter in a formula is told of beside it, unless the formula itself works it out; with another index it may be told once. And every
// letter that is told of is in a formula.
func TestEveryLetterIsToldOf(t *testing.T) {
	stem := func(name string) string { before, _, _ := strings.Cut(name, "_"); return before }
	for _, g := range Groups() {
		for _, m := range g.Methods {
			var told, inFormulas, workedOut []string
			for _, s := range m.Symbols {
				told = append(told, lettersOf(s.Symbol)...)
			}
			for _, f := range m.Formulas {
				inFormulas = append(inFormulas, lettersOf(f.Text)...)
				for _, w := range worked.FindAllStringSubmatch(f.Text, -1) {
					workedOut = append(workedOut, w[1])
				}
			}
			for _, name := range inFormulas {
				indexed := strings.Contains(name, "_") && slices.ContainsFunc(append(told, workedOut...), func(s string) bool { return stem(s) == stem(name) && strings.Contains(s, "_") })
				if !indexed && !slices.Contains(told, name) && !slices.Contains(workedOut, name) && !slices.Contains(common, name) {
					t.Errorf("%s.%s does not tell what %s is", g.Name, m.Name, name)
				}
			}
			for _, s := range m.Symbols {
				if names := lettersOf(s.Symbol); len(names) > 0 && !slices.ContainsFunc(names, func(n string) bool { return slices.Contains(inFormulas, n) }) {
					t.Errorf("%s.%s tells of %s, which is in none of its formulas", g.Name, m.Name, s.Symbol)
				}
			}
		}
	}
}
