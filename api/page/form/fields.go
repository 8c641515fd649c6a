package form

import (
	"regexp"
	"strings"
)

// kind is what a field holds.
type kind uint8

const (
	aText kind = iota
	aNumber
	aLength      // m, or ft
	aSmallLength // m, or in
	aSpeed       // m/s, or mph
	aMoney
	perLength  // money for a metre, or a foot
	perLength2 // money for a square metre of height, or a square foot
	aShare     // per cent
	aTilt      // a number, or the word best
	aList      // numbers, with spaces between
	aPairs     // a line of two numbers each, the first a speed
	aChoice
	aRecord // one of those kept
	aCurve  // one of those kept
	aYesNo
)

func (k kind) isNumber() bool { return k >= aNumber && k <= aShare }

// field is one of the form's. Its place is where its value goes in the document, and its name.
type field struct {
	place  string
	kind   kind
	when   string   // the choice it belongs to, such as wind=mean; several with a bar between
	words  []string // of a choice
	empty  string   // what is taken where nothing is typed, as it would be typed
	note   bool     // whether the catalogue has a note for it
	needed bool     // whether nothing can be taken where nothing is typed
}

// group is a list of rows. Places of its columns are within a row.
type group struct {
	place   string
	when    string
	columns []field
	most    int
	note    bool
}

// mostRows is how many rows the page has fields for, so that it stays light; a document may have more, and keeps them.
const mostRows = 36

var covers = []string{"sea", "smooth", "open", "roughly open", "rough", "very rough", "closed", "chaotic"}

// fields are all of the form but for its rows, in the document's order.
var fields = []field{
	{place: "site.name"},
	{place: "site.latitude", kind: aNumber, note: true, needed: true},
	{place: "site.longitude", kind: aNumber, note: true, needed: true},
	{place: "site.elevation_m", kind: aLength, empty: "0", note: true},
	{place: "site.ground.cover", kind: aChoice, words: covers, note: true},
	{place: "site.ground.roughness_m", kind: aNumber, note: true},
	{place: "site.ground.displacement_m", kind: aLength, empty: "0", note: true},

	{place: "wind.record.id", kind: aRecord, when: "wind=record", needed: true},
	{place: "wind.record.height_m", kind: aLength, when: "wind=record", note: true},
	{place: "wind.mean.speed_m_s", kind: aSpeed, when: "wind=mean", needed: true},
	{place: "wind.mean.height_m", kind: aLength, when: "wind=mean", note: true, needed: true},
	{place: "wind.mean.shape", kind: aNumber, when: "wind=mean", empty: "2", note: true},
	{place: "wind.weibull.scale_m_s", kind: aSpeed, when: "wind=weibull", needed: true},
	{place: "wind.weibull.shape", kind: aNumber, when: "wind=weibull", needed: true},
	{place: "wind.weibull.height_m", kind: aLength, when: "wind=weibull", needed: true},
	{place: "wind.measured_here", kind: aYesNo, note: true},
	{place: "wind.measured_over.cover", kind: aChoice, words: covers, note: true},
	{place: "wind.rose", kind: aList, note: true},
	{place: "wind.long_term.reference.id", kind: aRecord, note: true},
	{place: "shear.method", kind: aChoice, words: []string{"auto", "log", "power", "measured"}, note: true},
	{place: "shear.exponent", kind: aNumber, note: true},

	{place: "turbine.name"},
	{place: "turbine.rotor_diameter_m", kind: aLength, when: "machine=table|log", needed: true},
	{place: "turbine.rated_power_w", kind: aNumber, when: "machine=table|log|design", note: true},
	{place: "turbine.regulation", kind: aChoice, when: "machine=table|log|design", words: []string{"none", "furling", "stall", "pitch"}, note: true},
	{place: "turbine.power_curve.air_density_kg_m3", kind: aNumber, when: "machine=table", empty: "1.225", note: true},
	{place: "turbine.power_curve.points", kind: aPairs, when: "machine=table", note: true, needed: true},
	{place: "turbine.design.rotor.diameter_m", kind: aLength, when: "machine=design", needed: true},
	{place: "turbine.design.rotor.hub_diameter_m", kind: aLength, when: "machine=design", empty: "0"},
	{place: "turbine.design.rotor.blades", kind: aNumber, when: "machine=design", needed: true},
	{place: "turbine.design.rotor.pitch_deg", kind: aNumber, when: "machine=design", empty: "0", note: true},
	{place: "turbine.design.rotor.board.root_chord_m", kind: aSmallLength, when: "machine=design", note: true, needed: true},
	{place: "turbine.design.rotor.board.tip_chord_m", kind: aSmallLength, when: "machine=design", note: true},
	{place: "turbine.design.rotor.section", kind: aChoice, when: "machine=design", words: []string{"flat_plate", "curved_plate", "flat_underside", "s809"}},
	{place: "turbine.design.generator.volts_per_rpm", kind: aNumber, when: "machine=design", note: true, needed: true},
	{place: "turbine.design.generator.resistance_ohm", kind: aNumber, when: "machine=design", note: true, needed: true},
	{place: "turbine.design.generator.iron_torque_nm", kind: aNumber, when: "machine=design", empty: "0", note: true},
	{place: "turbine.design.generator.cogging_nm", kind: aNumber, when: "machine=design", empty: "0", note: true},
	{place: "turbine.design.generator.rated_current_a", kind: aNumber, when: "machine=design"},
	{place: "turbine.design.gear.ratio", when: "machine=design", note: true},
	{place: "turbine.design.load.battery.volts_v", kind: aNumber, when: "machine=design&load=battery", note: true, needed: true},
	{place: "turbine.design.load.resistor.ohm", kind: aNumber, when: "machine=design&load=resistor", needed: true},
	{place: "turbine.design.load.tracking.max_w", kind: aNumber, when: "machine=design&load=tracking"},
	{place: "turbine.design.load.tracking.start_v", kind: aNumber, when: "machine=design&load=tracking"},
	{place: "turbine.design.wire.length_m", kind: aLength, when: "machine=design", note: true},
	{place: "turbine.design.wire.area_mm2", kind: aNumber, when: "machine=design"},
	{place: "turbine.design.wire.awg", when: "machine=design", note: true},
	{place: "turbine.design.furling.start_m_s", kind: aSpeed, when: "machine=design", note: true},
	{place: "turbine.design.furling.full_m_s", kind: aSpeed, when: "machine=design"},
	{place: "turbine.test_log.record.id", kind: aRecord, when: "machine=log", note: true, needed: true},
	{place: "turbine.test_log.sensor_height_m", kind: aLength, when: "machine=log", note: true},
	{place: "turbine.test_log.hub_height_m", kind: aLength, when: "machine=log"},
	{place: "turbine.test_log.cut_out_m_s", kind: aSpeed, when: "machine=log"},
	{place: "turbine.test_log.averaging_s", kind: aNumber, when: "machine=log", empty: "60"},
	{place: "turbine.test_log.generator.volts_per_rpm", kind: aNumber, when: "machine=log", note: true},
	{place: "turbine.test_log.generator.resistance_ohm", kind: aNumber, when: "machine=log"},
	{place: "turbine.test_log.generator.battery_v", kind: aNumber, when: "machine=log"},
	{place: "turbine.test_log.generator.load_ohm", kind: aNumber, when: "machine=log"},
	{place: "turbine.curve.id", kind: aCurve, when: "machine=curve", needed: true},

	{place: "towers.from_m", kind: aLength, when: "towers=rule", needed: true},
	{place: "towers.to_m", kind: aLength, when: "towers=rule", needed: true},
	{place: "towers.step_m", kind: aLength, when: "towers=rule", needed: true},
	{place: "towers.fixed_cost", kind: aMoney, when: "towers=rule", empty: "0"},
	{place: "towers.cost_per_m", kind: perLength, when: "towers=rule", empty: "0"},
	{place: "towers.cost_per_m2", kind: perLength2, when: "towers=rule", empty: "0", note: true},

	{place: "losses.availability", kind: aShare, empty: "5", note: true},
	{place: "losses.wiring", kind: aShare, empty: "3"},
	{place: "losses.conversion", kind: aShare, empty: "6", note: true},
	{place: "losses.other", kind: aShare, empty: "3", note: true},

	{place: "money.currency", empty: "EUR", note: true},
	{place: "money.turbine_cost", kind: aMoney, needed: true},
	{place: "money.other_cost", kind: aMoney, empty: "0", note: true},
	{place: "money.yearly_cost", kind: aMoney, note: true},
	{place: "money.life_years", kind: aNumber, empty: "20"},
	{place: "money.discount_rate", kind: aShare, empty: "4", note: true},
	{place: "money.price_per_kwh", kind: aMoney, note: true},
	{place: "money.price_escalation", kind: aShare, empty: "0", note: true},
	{place: "money.feed_in_per_kwh", kind: aMoney, note: true},
	{place: "money.feed_in_escalation", kind: aShare, empty: "0"},
	{place: "money.self_used_share", kind: aShare, note: true},
	{place: "money.output_decline", kind: aShare, empty: "0.5", note: true},
	{place: "money.measuring_cost", kind: aMoney, empty: "0", note: true},

	{place: "solar.cost_per_kw", kind: aMoney, note: true},
	{place: "solar.yearly_cost_per_kw", kind: aMoney, note: true},
	{place: "solar.life_years", kind: aNumber, empty: "25"},
	{place: "solar.tilt_deg", kind: aTilt, empty: "best", note: true},
	{place: "solar.azimuth_deg", kind: aNumber, note: true},
	{place: "solar.losses", kind: aShare, empty: "14"},
	{place: "solar.output_decline", kind: aShare, empty: "0.5"},
	{place: "solar.yield_kwh_per_kw", kind: aNumber, note: true},
	{place: "solar.yearly_irradiation_kwh_m2", kind: aNumber},
	{place: "solar.monthly_irradiation_kwh_m2", kind: aList, note: true},

	{place: "household.yearly_kwh", kind: aNumber, note: true},
	{place: "household.battery.capacity_kwh", kind: aNumber},
	{place: "household.battery.cost", kind: aMoney},
	{place: "household.battery.life_years", kind: aNumber},

	{place: "uncertainty.measurement", kind: aShare},
	{place: "uncertainty.place", kind: aShare},
	{place: "uncertainty.long_term", kind: aShare},
	{place: "uncertainty.year_to_year", kind: aShare, empty: "6"},
	{place: "uncertainty.vertical", kind: aShare},
	{place: "uncertainty.surroundings", kind: aShare},
	{place: "uncertainty.power_curve", kind: aShare},
	{place: "uncertainty.losses", kind: aShare, empty: "5"},
	{place: "uncertainty.turbine_cost", kind: aShare, empty: "10"},
	{place: "uncertainty.upkeep", kind: aShare, empty: "30"},
	{place: "uncertainty.price", kind: aShare, empty: "10"},
	{place: "uncertainty.solar", kind: aShare},
	{place: "uncertainty.solar_year_to_year", kind: aShare, empty: "4"},
	{place: "uncertainty.solar_cost", kind: aShare},
	{place: "uncertainty.draws", kind: aNumber, empty: "1000", note: true},
	{place: "seed", kind: aNumber},
}

// groups are the form's rows.
var groups = []group{
	{place: "site.ground.sectors", most: mostRows, note: true, columns: []field{
		{place: "from_deg", kind: aNumber, needed: true}, {place: "to_deg", kind: aNumber, needed: true}, {place: "cover", kind: aChoice, words: covers, needed: true},
		{place: "displacement_m", kind: aLength, empty: "0"}, {place: "change_at_m", kind: aLength}, {place: "beyond.cover", kind: aChoice, words: covers},
		{place: "beyond.displacement_m", kind: aLength, empty: "0"}}},
	{place: "site.obstacles", most: mostRows, note: true, columns: []field{
		{place: "name"}, {place: "bearing_deg", kind: aNumber, needed: true}, {place: "distance_m", kind: aLength, needed: true}, {place: "height_m", kind: aLength, needed: true},
		{place: "width_m", kind: aLength, needed: true}, {place: "porosity", kind: aShare, empty: "0"}, {place: "growth_m_per_year", kind: aLength, empty: "0"}}},
	{place: "site.relief", most: 20, note: true, columns: []field{
		{place: "shape", kind: aChoice, words: []string{"hill", "ridge", "escarpment", "valley", "lee"}, needed: true}, {place: "height_m", kind: aLength, needed: true},
		{place: "half_length_m", kind: aLength, needed: true}, {place: "from_deg", kind: aNumber, empty: "0"}, {place: "to_deg", kind: aNumber, empty: "360"}}},
	{place: "towers", when: "towers=list", most: mostRows, note: true, columns: []field{
		{place: "hub_height_m", kind: aLength, needed: true}, {place: "cost", kind: aMoney, needed: true}}},
	{place: "money.replacements", most: mostRows, note: true, columns: []field{
		{place: "year", kind: aNumber, needed: true}, {place: "cost", kind: aMoney, needed: true}, {place: "what"}}},
}

// choices are what there is to choose between, the first by default.
var choices = map[string][]string{
	"wind":    {"mean", "file", "record", "fetch", "weibull", "frequency"},
	"machine": {"table", "curve", "log", "design"},
	"towers":  {"list", "rule"},
	"load":    {"battery", "resistor", "tracking", "short_circuit"},
}

// parts are the places in the document that go with one choice alone, and that it needs.
var parts = []struct{ place, when string }{
	{"wind.record", "wind=record"}, {"wind.mean", "wind=mean"}, {"wind.weibull", "wind=weibull"}, {"wind.frequency", "wind=frequency"},
	{"turbine.power_curve", "machine=table"}, {"turbine.curve", "machine=curve"}, {"turbine.test_log", "machine=log"},
	{"turbine.design.load.battery", "machine=design&load=battery"}, {"turbine.design.load.resistor", "machine=design&load=resistor"},
	{"turbine.design.load.tracking", "machine=design&load=tracking"}, {"turbine.design.load.short_circuit", "machine=design&load=short_circuit"},
	{"turbine.design", "machine=design"},
}

var (
	byPlace      = map[string]*field{}
	groupByPlace = map[string]*group{}
	indices      = regexp.MustCompile(`\[\d+\]`)
)

func init() {
	for i := range fields {
		byPlace[fields[i].place] = &fields[i]
	}
	for i := range groups {
		g := &groups[i]
		groupByPlace[g.place] = g
		for j := range g.columns {
			byPlace[g.place+"[]."+g.columns[j].place] = &g.columns[j]
		}
	}
}

// fieldOf is the field of a name; nil where there is none.
func fieldOf(name string) *field { return byPlace[indices.ReplaceAllString(name, "[]")] }

// key is the catalogue's key for a name.
func key(name string) string {
	return strings.ReplaceAll(indices.ReplaceAllString(name, ""), "..", ".")
}
