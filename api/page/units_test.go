package page

import (
	"strings"
	"testing"
)

// 10 ft are 3.048 m and 10 mph are 4.4704 m/s, exactly.
func TestUnitsInWords(t *testing.T) {
	feet := Units{Feet: true}
	for in, want := range map[string]string{
		"a mean of 4.4704 m/s at 3.048 m":                                                        "a mean of 10.0 mph at 10 ft",
		"from 3 to 6.096\u00a0m, say":                                                            "from 9.84 to 20\u00a0ft, say",
		"120 W/m² and 12 m² and 1.2 kg/m³":                                                       "120 W/m² and 12 m² and 1.2 kg/m³",
		"within 30 min, 5 months, 7 m³, 2 m/s":                                                   "within 30 min, 5 months, 7 m³, 4.47 mph",
		"site.obstacles[2] is 18 m high.":                                                        "obstacle 3 is 59 ft high.",
		"30 ft (9.1 m) or more within 500 ft (152.4 m)":                                          "30 ft or more within 500 ft",
		"1 % thinner for each 100 m (330 ft) above it":                                           "1 % thinner for each 330 ft above it",
		"a roughness length of 0.03 m, seen from 3.048 m, and “grass” (roughness length 0.25 m)": "a roughness length of 0.03 m, seen from 10 ft, and “grass” (roughness length 0.25 m)",
		"0.25 m, of the cover class “farmland”":                                                  "0.25 m, of the cover class “farmland”",
		"25 to 35 ft (7.6 to 10.7 m) above":                                                      "25 to 35 ft above",
		"":                                                                                       "",
		`column "Wind speed 10 m" of "Vane 24 m" at 3.048 m`:                                     `column "Wind speed 10 m" of "Vane 24 m" at 10 ft`,
		"it would be 4.4704, 8.9408 or 13.4112 m/s":                                              "it would be 10.0, 20.0 or 30.0 mph",
		"must be one of 12, 18, 24 m":                                                            "must be one of 39, 59, 79 ft",
	} {
		if got := feet.words(in); got != want {
			t.Errorf("%q: %q, want %q", in, got, want)
		}
		if got := (Units{}).words(in); got != plainly(in) {
			t.Errorf("%q: %q in metres", in, got)
		}
	}
	for m, want := range map[float64]string{3.048: "10\u00a0ft", 18: "59\u00a0ft", 2: "6.6\u00a0ft", 0: "0\u00a0ft"} {
		if got := feet.length(&m); got != want {
			t.Errorf("%g m: %q, want %q", m, got, want)
		}
	}
	if v := 4.4704; feet.speed(&v) != "10.0\u00a0mph" || (Units{}).speed(&v) != "4.47\u00a0m/s" || feet.speed(nil) != unknown || feet.length(nil) != unknown {
		t.Error(feet.speed(&v))
	}
	speed := 6.376 // 14.26 mph; 6.38 m/s, as a sentence has it, were 14.27, and 6.4 m/s 14.3
	if got := feet.words(feet.exactly("a mean of 6.4 m/s, not 16.4 m/s", "%.1f", nil, &speed)); got != "a mean of 14.3 mph, not 36.7 mph" {
		t.Error(got)
	}
	speed = 138.6
	if got := feet.words(feet.exactly("its tips at 139 m/s.", "%.0f", &speed)); got != "its tips at 310 mph." || (Units{}).exactly("139 m/s", "%.0f", &speed) != "139 m/s" {
		t.Error(got)
	}
	if _, ok := UnitsOf(""); ok {
		t.Error("nothing is a choice")
	}
}

// Only all of it is 100 %, only nothing 0 %.
func TestPartOfAWhole(t *testing.T) {
	for share, want := range map[float64]string{1: "100 %", 0: "0 %", 0.9999: "over 99.9 %", 0.9966: "99.7 %", 0.99: "99 %", 0.5: "50 %", 0.0149: "1.5 %", 0.0001: "under 0.1 %"} {
		if got := partOf(&share); got != strings.ReplaceAll(want, " %", "\u00a0%") {
			t.Errorf("%g: %q, want %q", share, got, want)
		}
	}
	if partOf(nil) != unknown {
		t.Error("not known")
	}
}
