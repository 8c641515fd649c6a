package main

import (
	"testing"

	"mastworth/resource/ingest"
)

// Remedies name what the user of the command can type.
func TestFlagWords(t *testing.T) {
	for from, want := range map[string]string{
		"m/s is taken; set speed_unit if that is wrong":                            "m/s is taken; set --speed-unit if that is wrong",
		`there is no column "a", which the option only names`:                      `there is no column "a", which --only names`,
		"name its separator with the option delimiter":                             "name its separator with --delimiter",
		"option column: a column needs its name":                                   "--column: a column needs its name",
		"choose one with the option only, such as only=station=7":                  "choose one with --only, such as --only station=7",
		"such as column=NAME=speed,height=10,unit=km/h":                            "such as --column NAME=speed,height=10,unit=km/h",
		`set column="a b=ignore", and column="NAME=power" for the other`:           `set --column "a b=ignore", and --column "NAME=power" for the other`,
		"the only column of numbers; the missing values and the format stay words": "the only column of numbers; the missing values and the format stay words",
		"option format: \"x\" is none of":                                          "--kind: \"x\" is none of",
	} {
		if got := flagWords(from); got != want {
			t.Errorf("%s\n  became %s\n  want   %s", from, got, want)
		}
	}
	for _, o := range ingest.Settings() {
		if got := flagWords("option " + o.Name); got != "--"+optionFlag(o.Name) {
			t.Errorf("%s became %s", o.Name, got)
		}
	}
}

func TestOrdinal(t *testing.T) {
	for n, want := range map[int]string{1: "1st", 2: "2nd", 3: "3rd", 4: "4th", 11: "11th", 12: "12th", 13: "13th", 21: "21st", 112: "112th"} {
		if got := ordinal(n); got != want {
			t.Errorf("%d: %s", n, got)
		}
	}
}
