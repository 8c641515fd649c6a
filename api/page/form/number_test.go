package form

import (
	"net/url"
	"reflect"
	"strings"
	"testing"
)

// Among numbers with a comma before decimals, 2.500 may be two and a half or some thousands: it is never guessed.
func TestPointAmongCommas(t *testing.T) {
	for _, test := range []struct {
		price, cost, want string
		told              string
	}{
		{"0,28", "2.500", `"cost":"2.500"`, "“2.500” may be 2500 or 2,5, since other numbers here have a comma before decimals: write one of the two"},
		{"0,28", "20.000", `"cost":"20.000"`, "“20.000” may be 20000 or 20, since other numbers here have a comma before decimals: write one of the two"},
		{"0,28", "2.50", `"cost":2.5`, ""},
		{"0,28", "0.250", `"cost":0.25`, ""},
		{"0,28", "1.400,50", `"cost":1400.5`, ""},
		{"0.28", "2.500", `"cost":2.5`, ""},
		{"0.28", "1,400.50", `"cost":1400.5`, ""},
	} {
		f := FromValues(url.Values{"money.price_per_kwh": {test.price}, "towers[0].cost": {test.cost}, "site.latitude": {"47.376"}, "wind.mean.speed_m_s": {"4.125"}})
		d, err := f.Document()
		if err != nil || !strings.Contains(string(d.JSON), test.want) || !strings.Contains(string(d.JSON), "47.376") || !strings.Contains(string(d.JSON), "4.125") {
			t.Errorf("%s beside %s: %v %s", test.cost, test.price, err, d.JSON)
		}
		if test.told == "" {
			continue
		}
		f.Accuse(d, []Fault{{"towers[0].cost", "must be a number"}})
		if want := map[string][]string{"towers[0].cost": {test.told}}; !reflect.DeepEqual(f.faults, want) {
			t.Errorf("got  %q\nwant %q", f.faults, want)
		}
	}
}

// Whoever types commas has commas after a change of units too, so that what is typed later is still read beside them.
func TestCommasStayInOtherUnits(t *testing.T) {
	f := FromValues(url.Values{"towers[0].hub_height_m": {"12,5"}, "towers[1].hub_height_m": {"1"}, "towers[0].cost": {"2.500"}})
	f.ChangeUnits(Feet)
	if got := []string{f.Value("towers[0].hub_height_m"), f.Value("towers[1].hub_height_m"), f.Value("towers[0].cost")}; !reflect.DeepEqual(got, []string{"41,0105", "3,28084", "2.500"}) {
		t.Errorf("%q", got)
	}
	if got := withComma("3.281"); got != "3,2810" || !isNumberText(got) {
		t.Errorf("%q", got)
	}
}

// A unit behind a number, or a sign before it, is named as what has to go.
func TestUnitsInNumbers(t *testing.T) {
	for s, want := range map[string]string{
		"110 mph": "“110 mph” has more in it than a number: leave the unit or sign out and write 110",
		"8,75 O":  "“8,75 O” has more in it than a number: leave the unit or sign out and write 8,75",
		"−3 °C":   "“−3 °C” has more in it than a number: leave the unit or sign out and write -3",
		"$2,500":  "“$2,500” has more in it than a number: write one number without a unit or sign, with a point before decimals",
		"47°30′":  "“47°30′” has more in it than a number: write one number without a unit or sign, with a point before decimals",
		"€":       "“€” is no number; write it in digits, with a point before decimals",
		"1e999":   "“1e999” is no number; write it in digits, with a point before decimals",
		"1.2.3":   "“1.2.3” is no number; write it in digits, with a point before decimals",
	} {
		if v, got := Number(s); got != want {
			t.Errorf("%q: %v, %s, want %s", s, v, got, want)
		}
	}
	if v, fault := Number("1.391,0"); v != 1391 || fault != "" {
		t.Errorf("%v %s", v, fault)
	}
}

// Money a foot has its currency where it is told what was typed.
func TestMoneyAFootNamesItsCurrency(t *testing.T) {
	f := FromValues(url.Values{ControlShown: {"feet"}, "by.towers": {"rule"}, "towers.cost_per_m": {"-3"}, "money.currency": {"usd"}})
	d, err := f.Document()
	if err != nil {
		t.Fatal(err)
	}
	f.Accuse(d, []Fault{{"towers.cost_per_m", "must be from 0 to 1\u202f000\u202f000\u202f000, not -9.84252"}})
	if got := f.faults["towers.cost_per_m"]; len(got) != 1 || got[0] != "must be from 0 to 1\u202f000\u202f000\u202f000, not −3 USD/ft" {
		t.Errorf("%q", got)
	}
}
