package page

import (
	"math"

	"mastworth/openapi"
)

// Balance is what the page for balancing blades shows.
type Balance struct {
	Masses, Centres, RPM, TipRadius string            // as they were typed
	Faults                          map[string]string // by field
	Done                            *BalanceResult    // nil before anything was typed
	Rotor                           []RotorBlade
}

// BalanceResult is the order of blades in words.
type BalanceResult struct {
	Order    []BalancePlace
	Numbers  []Pair
	Lighten  []BalanceTrim
	Counter  []Pair
	Warnings []string
}

// BalancePlace is a place around the hub and the blade that goes there.
type BalancePlace struct {
	Place, Blade int
	AngleDeg     float64
	MassG        float64
}

// BalanceTrim is what to take off a blade.
type BalanceTrim struct {
	Blade                int
	Moment, Mass, Radius string
}

// RotorBlade is a blade's line and number in the drawing of the rotor, px from the hub.
type RotorBlade struct {
	X, Y, TextX, TextY float64
	Blade              int
}

// NewBalance puts an answer into words. masses are those typed, in their order.
func NewBalance(b *openapi.Balance, masses []float64) *BalanceResult {
	out := &BalanceResult{}
	for i, blade := range b.Order {
		out.Order = append(out.Order, BalancePlace{Place: i + 1, Blade: blade, AngleDeg: 360 * float64(i) / float64(len(b.Order)), MassG: masses[blade-1]})
	}
	moment := "g·m"
	if !b.CentreKnown {
		moment = Text("balance.grams_at_centre")
	}
	add := func(key, value string) {
		if value != unknown {
			out.Numbers = append(out.Numbers, Pair{Text(key), value})
		}
	}
	add("balance.left", unit(three(b.ImbalanceGm), moment))
	add("balance.as_typed", unit(three(b.AsGivenGm), moment))
	add("balance.heavy", unit(decimals(b.DirectionDeg, 0), "°"))
	add("balance.force", unit(three(b.ForceN), "N"))
	add("balance.force_as_typed", unit(three(b.ForceAsGivenN), "N"))
	add("balance.mean", unit(decimals(b.MeanG, 1), "g"))
	add("balance.spread", unit(decimals(b.SpreadG, 1), "g"))
	for _, t := range b.Lighten {
		out.Lighten = append(out.Lighten, BalanceTrim{t.Blade, unit(three(t.MomentGm), moment), unit(three(t.MassG), "g"), unit(decimals(t.RadiusM, 2), "m")})
	}
	c := &b.Counter
	out.Counter = []Pair{{Text("balance.counter_moment"), unit(three(c.MomentGm), moment)}, {Text("balance.counter_angle"), unit(decimals(c.AngleDeg, 0), "°")},
		{Text("balance.counter_mass"), unit(three(c.MassG), "g")}, {Text("balance.counter_radius"), unit(decimals(c.RadiusM, 2), "m")}}
	for _, w := range b.Warnings {
		out.Warnings = append(out.Warnings, sentence(w.Detail))
	}
	return out
}

// RotorOf draws the blades around the hub, the first upwards, clockwise.
func RotorOf(order []BalancePlace) []RotorBlade {
	out := make([]RotorBlade, len(order))
	for i, p := range order {
		sin, cos := math.Sincos(p.AngleDeg * math.Pi / 180)
		out[i] = RotorBlade{X: tenth(85 * sin), Y: tenth(-85 * cos), TextX: tenth(100 * sin), TextY: tenth(-100*cos + 5), Blade: p.Blade}
	}
	return out
}

func tenth(v float64) float64 { return math.Round(v*10)/10 + 0 }
