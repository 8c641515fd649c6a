package extreme

import (
	"strings"
	"testing"

	"mastworth/resource"
)

// Where the band of the gust reaches beyond a class, the next stronger is the safe choice; beyond the strongest there is none.
func TestNothingIsStrongerThanTheStrongestClass(t *testing.T) {
	for i, class := range Classes() {
		x := Extreme{Class: class.Name, ClassGustMS: class.GustMS, Gust50MS: class.GustMS - 1, Gust50HighMS: class.GustMS + 5, RuleGustMS: 1, MeasuredAtM: 10, HeightM: 10,
			Basis: AnnualBasis, Years: 30, GustMeasured: true}
		x.warn(&resource.Series{StepS: 600}, &resource.Channel{}, nil)
		said := ""
		for _, w := range x.Warnings {
			if w.Code == "extreme_band_beyond_class" {
				said = w.Detail
			}
		}
		if strings.Contains(said, "no stronger one") != (i == 0) || strings.Contains(said, "next stronger class") != (i > 0) {
			t.Errorf("class %s: %q", class.Name, said)
		}
	}
}
