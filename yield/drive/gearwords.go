package drive

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
)

// ParseGear reads a gear as builders say it, turbine turns : generator turns. "2:1" means the rotor turns twice for one turn
// of the generator, 0.5 generator turns a rotor turn; "1:2" is the usual step up, 2. "2 to 1" is the same as "2:1"; the sides
// may be named, in any order, as in "generator 3 : rotor 1" or "generator turns 3 times for one turn of the rotor"; "direct" is
// no gear. A comma may stand for the point. What can be read two ways, "2/1" or a bare "2", is refused as a *Fault that tells both
// readings and how to write each. The gear comes with GearEfficiency, or 1 where both turn equally fast, for the caller to
// overwrite; reading says in plain words how the gear was understood.
func ParseGear(words string) (gear Gear, reading string, err error) {
	said, fault := readGear(words)
	if fault != nil {
		return Gear{}, "", fault
	}
	if said.rotor == 0 || said.generator == 0 {
		return Gear{}, "", &Fault{"gear", fmt.Sprintf("%q has a side that never turns; both numbers must be above 0", words)}
	}
	return said.gear()
}

// side is which shaft a word names.
type side int

const (
	rotorSide side = iota + 1
	generatorSide
)

var sideWords = map[string]side{
	"rotor": rotorSide, "turbine": rotorSide, "hub": rotorSide, "blades": rotorSide, "propeller": rotorSide,
	"generator": generatorSide, "alternator": generatorSide, "motor": generatorSide, "dynamo": generatorSide,
}

var numberWords = map[string]float64{
	"one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9, "ten": 10,
	"once": 1, "twice": 2, "half": 0.5,
}

// fillers carry no meaning beside the sides and numbers; perWords tie one side to a single turn of the other.
var (
	fillers = map[string]bool{
		"turn": true, "turns": true, "revolution": true, "revolutions": true, "time": true, "times": true, "of": true, "the": true,
		"a": true, "to": true, ":": true, "/": true, ",": true, "=": true, "gear": true, "ratio": true, "x": true, "×": true,
		"for": true, "per": true, "each": true, "every": true,
	}
	perWords = map[string]bool{"for": true, "per": true, "each": true, "every": true, "/": true}
)

// gearText is a gear taken apart; positions count tokens.
type gearText struct {
	numbers  []float64
	numberAt []int
	sides    []side
	sideAt   []int
	tokens   []string
}

func readGear(words string) (turns, *Fault) {
	refuse := func(format string, args ...any) (turns, *Fault) {
		return turns{}, &Fault{"gear", fmt.Sprintf("%q: ", words) + fmt.Sprintf(format, args...) +
			`; write turbine turns : generator turns, "1:3" for a generator that turns 3 times as fast as the rotor`}
	}
	switch strings.Join(strings.FieldsFunc(strings.ToLower(words), func(r rune) bool { return !unicode.IsLetter(r) }), " ") {
	case "direct", "direct drive", "directly", "none", "no gear", "ungeared":
		if !strings.ContainsFunc(words, unicode.IsDigit) {
			return turns{1, 1}, nil
		}
	}
	text, unknown := takeApart(words)
	switch {
	case unknown != "":
		return refuse("%q is not understood", unknown)
	case len(text.numbers) == 0 || len(text.numbers) > 2:
		return refuse("a gear is two numbers, not %d", len(text.numbers))
	case len(text.sides) > 2 || len(text.sides) == 2 && text.sides[0] == text.sides[1]:
		return refuse("it must name rotor and generator once each, or neither")
	case len(text.sides) == 1:
		return refuse("it names one side only")
	case len(text.sides) == 2:
		if t, ok := text.named(); ok {
			return t, nil
		}
		return refuse("it is not clear which side the number belongs to")
	}
	return text.unnamed(words)
}

// takeApart gives back the first token it does not know.
func takeApart(words string) (text gearText, unknown string) {
	text.tokens = gearTokens(words)
	for i, token := range text.tokens {
		number, isNumber := numberWords[token]
		if !isNumber && token[0] >= '0' && token[0] <= '9' {
			v, err := strconv.ParseFloat(strings.Replace(token, ",", ".", 1), 64)
			if err != nil {
				return text, token
			}
			number, isNumber = v, true
		}
		which, isSide := sideWords[token]
		switch {
		case isNumber:
			text.numbers, text.numberAt = append(text.numbers, number), append(text.numberAt, i)
		case isSide:
			text.sides, text.sideAt = append(text.sides, which), append(text.sideAt, i)
		case !fillers[token]:
			return text, token
		}
	}
	return text, ""
}

// gearTokens cuts numbers, words and single signs apart.
func gearTokens(words string) []string {
	var out []string
	kind := func(r rune) int {
		switch {
		case unicode.IsLetter(r):
			return 1
		case unicode.IsDigit(r) || r == '.' || r == ',':
			return 2
		}
		return 0
	}
	start, before := 0, 0
	s := strings.ToLower(words)
	flush := func(end int) {
		if token := strings.TrimRight(s[start:end], ".,"); token != "" && !strings.ContainsFunc(token, unicode.IsSpace) {
			out = append(out, token)
		}
		start = end
	}
	for i, r := range s {
		if k := kind(r); k != before || k == 0 {
			flush(i)
			before = k
		}
	}
	flush(len(s))
	return out
}

// named reads a gear that names both sides. Two numbers belong to them in their order. One number belongs to the first,
// against one turn of the second ("generator turns 3 times per rotor turn"), unless the text begins with the single turn.
func (g gearText) named() (turns, bool) {
	values := [2]float64{1, 1}
	if len(g.numbers) == 2 {
		values = [2]float64{g.numbers[0], g.numbers[1]}
	} else {
		at := 0
		switch {
		case perWords[g.tokens[0]]:
			at = 1
		case !anyOf(g.tokens[g.sideAt[0]:g.sideAt[1]], perWords):
			return turns{}, false
		}
		values[at] = g.numbers[0]
	}
	if g.sides[0] == rotorSide {
		return turns{rotor: values[0], generator: values[1]}, true
	}
	return turns{rotor: values[1], generator: values[0]}, true
}

func anyOf(tokens []string, set map[string]bool) bool {
	for _, t := range tokens {
		if set[t] {
			return true
		}
	}
	return false
}

// unnamed reads two numbers with a colon or "to" between, and refuses what can be read two ways.
func (g gearText) unnamed(words string) (turns, *Fault) {
	a, b := g.numbers[0], 1.0
	if len(g.numbers) == 2 {
		b = g.numbers[1]
		if g.numberAt[1] == g.numberAt[0]+2 {
			if sign := g.tokens[g.numberAt[0]+1]; sign == ":" || sign == "to" {
				return turns{a, b}, nil
			}
		}
	}
	if a == b {
		return turns{a, b}, nil
	}
	if a == 0 || b == 0 {
		return turns{a, b}, nil // refused by the caller, with its own words
	}
	down, up := turns{a, b}, turns{b, a}
	return turns{}, &Fault{"gear", fmt.Sprintf("%q can be read two ways. Either %s (%.6g generator turns a rotor turn): write "+
		"\"%.6g:%.6g\". Or %s (%.6g generator turns a rotor turn): write \"%.6g:%.6g\"",
		words, down, down.ratio(), down.rotor, down.generator, up, up.ratio(), up.rotor, up.generator)}
}
