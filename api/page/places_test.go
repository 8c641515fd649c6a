package page

import "testing"

// Pages call what a request says by the form's names.
func TestPlacesAreCalledAsTheFormCallsThem(t *testing.T) {
	for words, want := range map[string]string{
		"about 1 % too dense; add site.elevation_m":                                "about 1 % too dense; add “Height above the sea”",
		"say wind.measured_over: {cover: open}, or the wind":                       "say “Ground around the sensor”: “flat grassland, a few scattered bushes”, or the wind",
		"gives nothing; say wind.measured_here: true or false":                     "gives nothing; say “Where it was measured”",
		"say “Ground around the sensor”: {cover: open}":                            "say “Ground around the sensor”: “flat grassland, a few scattered bushes”",
		"or say that there are none (site.obstacles, an empty list)":               "or say that there are none (“Nothing stands within some twenty of its own heights”)",
		`not described: "rough" (roughness length 0.25 m) is assumed`:              "not described: “hedged gardens and fields, scattered houses” (roughness length 0.25 m) is assumed",
		`0.25 m, of the cover class "very rough"`:                                  "0.25 m, of the cover class “orchards, many hedges and groups of trees”",
		`column "rough" (km/h)`:                                                    `column "rough" (km/h)`,
		"describe it in site.ground":                                               "describe it in “What the wind blows over, for a kilometre or two”",
		"broken by site.obstacles[1], towers[0].hub_height_m is 3":                 "broken by obstacle 2, “Tower 1, Hub height” is 3",
		"say money.feed_in_per_kwh if it is paid for":                              "say “A sold kWh brings” if it is paid for",
		"raise wind.long_term.max_shift_hours, which the form has not":             "raise wind.long_term.max_shift_hours, which the form has not",
		"the site. It stands":                                                      "the site. It stands",
		"counted in UTC; set utc_offset":                                           "counted in UTC; set “The clock’s distance from UTC”",
		"choose one with the option only, such as only=origin=EWR":                 "choose one with “Only rows where”, such as “Only rows where”: origin=EWR",
		"say what the columns hold, such as column=NAME=speed,height=10,unit=km/h": "say what the columns hold, such as “What columns hold”: NAME=speed,height=10,unit=km/h",
		"option x_y is none":                                                       "option x_y is none",
	} {
		if got := plainly(words); got != want {
			t.Errorf("%q: %q, want %q", words, got, want)
		}
	}
}
