package balance

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Blade is one blade as it lies on the scales.
type Blade struct {
	MassG   float64 // mass, g
	CentreM float64 // radius of its centre of gravity from the rotor's axis, m; NaN in all blades where it is not known
}

// Result is the best order of a rotor's blades and what it leaves.
type Result struct {
	Order        []int   // blades by index, clockwise seen from the wind, blade 0 first, a place each 360°/n
	ImbalanceGM  float64 // what is left, g·m; with unknown centres of gravity the g at 1 m, see CentreKnown
	DirectionDeg float64 // where the rotor is heavy, degrees clockwise from blade Order[0], [0, 360); NaN for no imbalance
	AsGivenGM    float64 // the imbalance of the blades in the order they were given, g·m
	CentreKnown  bool    // false: every centre of gravity was taken to be 1 m out, so g·m and forces are to be multiplied by its true radius in m
	MeanG        float64 // mean mass, g
	SpreadG      float64 // heaviest less lightest, g
	TotalG       float64 // of all blades, g
	Lighten      []Trim  // takes the imbalance off the blades: none, one, or two neighbours; together they leave nothing
	Counter      Counterweight
	Warnings     []resource.Warning

	heaviestG float64
}

// Force is the force in N that the imbalance left makes at a rotor speed in turns a minute, F = m·r·ω² (mechanics of a
// point mass on a circle). It turns with the rotor. NaN for NaN.
func (r Result) Force(rpm float64) float64 { return force(r.ImbalanceGM, rpm) }

// ForceAsGiven is the force in N at a rotor speed in turns a minute with the blades in the order they were given.
func (r Result) ForceAsGiven(rpm float64) float64 { return force(r.AsGivenGM, rpm) }

// BalanceGrade is the imbalance per mass of blades times the angular speed at a rotor speed in turns a minute, mm/s: the
// balance quality grade G of ISO 21940-11 (definition from memory), hub and shaft left out.
func (r Result) BalanceGrade(rpm float64) float64 {
	const mmPerM = 1000
	return r.ImbalanceGM / r.TotalG * mmPerM * angular(rpm)
}

func angular(rpm float64) float64 { return rpm * 2 * math.Pi / 60 }

func force(imbalanceGM, rpm float64) float64 {
	const gramsPerKG = 1000
	omega := angular(rpm)
	return imbalanceGM / gramsPerKG * omega * omega
}

// Arrange finds the order of 2 to 12 blades around the hub with the least imbalance. It is the exact least: every order is
// either tried or shown to be no better. Of orders that are equally good it gives one and always the same. Any other number
// of blades, a mass or a centre of gravity that cannot be, or centres known of some blades only, is a *Fault.
func Arrange(blades []Blade) (Result, error) {
	known, err := check(blades)
	if err != nil {
		return Result{}, err
	}
	n := len(blades)
	r := Result{CentreKnown: known}
	moments, asGiven := make([]float64, n), make([]int, n)
	least, most := math.Inf(1), 0.0
	for i, b := range blades {
		moments[i], asGiven[i] = b.MassG, i
		if known {
			moments[i] *= b.CentreM
		}
		r.TotalG += b.MassG
		least, most = min(least, b.MassG), max(most, b.MassG)
	}
	r.heaviestG = most
	r.MeanG, r.SpreadG = r.TotalG/float64(n), most-least
	r.AsGivenGM, _ = vector(moments, asGiven)
	r.Order = bestOrder(moments)
	r.ImbalanceGM, r.DirectionDeg = vector(moments, r.Order)
	r.correct(blades)
	r.warn()
	return r, nil
}

// What a rotor's builder is warned of. Common practice; from memory.
const (
	spreadShare = 0.03
	lightestG   = 5 // a rotor whose heaviest blade weighs less was more likely weighed in kg (judgement)
)

// warn adds what a builder should know.
func (r *Result) warn() {
	add := func(code, format string, values ...any) {
		r.Warnings = append(r.Warnings, resource.Warning{Code: code, Detail: fmt.Sprintf(format, values...)})
	}
	if r.heaviestG < lightestG {
		add("grams_not_kg", "the heaviest blade weighs %.4g g: were the masses given in kg? They are taken for g; if they are kg, multiply them "+
			"by 1000", r.heaviestG)
	}
	if n := len(r.Order); n%2 == 1 && n != 3 {
		add("odd_blade_count", "%d blades are hard to build true: with an odd number there is no blade opposite to measure against; "+
			"three or an even number is easier (common practice)", n)
	}
	if share := r.SpreadG / r.MeanG; share > spreadShare {
		add("blades_unequal", "the heaviest blade outweighs the lightest by %.3g g, %.1f %% of the mean; bring them within %.0f %% "+
			"with a plane or with varnish before you trust the order to do the rest", r.SpreadG, 100*share, 100*spreadShare)
	}
	if !r.CentreKnown {
		add("centre_unknown", "the blades' centres of gravity are not known and were taken to be equal, 1 m out: multiply the "+
			"imbalance and the force by the true radius in metres; balance each blade across an edge to find it, since equal masses "+
			"with centres 2 %% apart shake like masses 2 %% apart")
	}
}
