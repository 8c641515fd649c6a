package drive

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// In the builders' sense, turbine turns : generator turns, 2:1 means that the rotor turns twice for one turn of the generator.
func TestParseGear(t *testing.T) {
	for words, want := range map[string]float64{
		"2:1": 0.5, "1:2": 2, " 1 : 3.5 ": 3.5, "1:2,5": 2.5, "2 to 1": 0.5, "one to four": 4, "1:1": 1, "1/1": 1, "1": 1,
		"direct": 1, "Direct drive": 1, "none": 1, "gear 1:2": 2,
		"rotor 2 : generator 1": 0.5, "generator 3 : rotor 1": 3, "generator 3 / rotor 1": 3, "2 rotor : 1 generator": 0.5,
		"turbine:generator 2:1": 0.5, "generator turns 3 times for one turn of the rotor": 3,
		"the rotor turns twice for one turn of the generator":   0.5,
		"3 generator turns per rotor turn":                      3,
		"per turn of the rotor the generator turns 4 times":     4,
		"for one turn of the rotor the generator turns 4 times": 4,
		"alternator/hub 5": 5,
	} {
		g, reading, err := ParseGear(words)
		if err != nil {
			t.Errorf("%q: %v", words, err)
			continue
		}
		near(t, words, g.GeneratorPerRotor, want, 1e-12)
		if g.check() != nil || reading == "" {
			t.Errorf("%q: %+v %q", words, g, reading)
		}
	}
	for words, says := range map[string]string{
		"2/1": `"2:1"`, "2 / 1": `"1:2"`, "2": "two ways", "0.5": "two ways", "2-1": "not understood", "2 1": "two ways", "": "two numbers",
		"1:0": "never turns", "0:0": "never turns", "1:2:3": "two numbers", "generator 2:1": "one side", "2x1": "two ways", "1:1000": "lie between",
		"rotor 2 generator": "which side", "1:two hundred": "hundred", "rotor 1 : hub 2": "once each", "1:1e300": "not understood", "0/2": "never",
		"direct 2": "not understood", "1..2:3": "not understood",
	} {
		_, _, err := ParseGear(words)
		var f *Fault
		if !errors.As(err, &f) || f.Field != "gear" || !strings.Contains(f.Reason, says) {
			t.Errorf("%q: %v, want it to say %q", words, err, says)
		}
	}
}

func TestGearIsReadAsItIsWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.IntRange(1, 99).Draw(t, "rotor"), rapid.IntRange(1, 99).Draw(t, "generator")
		g, _, err := ParseGear(fmt.Sprintf("%d:%d", a, b))
		back, _, err2 := ParseGear(fmt.Sprintf("generator %d : rotor %d", b, a))
		if err != nil || err2 != nil || math.Abs(g.GeneratorPerRotor*float64(a)-float64(b)) > 1e-9 || g != back {
			t.Fatal(g, back, err, err2)
		}
	})
}

func FuzzParseGear(f *testing.F) {
	for _, s := range []string{"2:1", "2/1", "generator 3 : rotor 1", "1:2,5", "", "per", "for rotor generator 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if g, _, err := ParseGear(s); err == nil && g.check() != nil {
			t.Errorf("%q gives %+v", s, g)
		}
	})
}

func ExampleParseGear() {
	for _, words := range []string{"2:1", "1:2", "2/1"} {
		gear, reading, err := ParseGear(words)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%g: %s\n", gear.GeneratorPerRotor, reading)
	}
	// Output:
	// 0.5: the rotor turns twice for one turn of the generator: geared down, 0.5 generator turns a rotor turn
	// 2: the rotor turns once for 2 turns of the generator: geared up, 2 generator turns a rotor turn
	// machine design, gear: "2/1" can be read two ways. Either the rotor turns twice for one turn of the generator (0.5 generator turns a rotor turn): write "2:1". Or the rotor turns once for 2 turns of the generator (2 generator turns a rotor turn): write "1:2"
}
