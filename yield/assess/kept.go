package assess

import (
	"fmt"
	"slices"
)

// KeptCurve is what is known of a turbine that was worked out before and kept: its curve stands for what it was made from.
type KeptCurve struct {
	ID         string
	Origin     Origin
	Warnings   []Warning // of its making
	Provenance []Provenance
	Sketch     bool // its log was too short for a curve that deserves the name
}

// Origin is what a kept curve was made from.
type Origin string

// The origins. A kept design is a Turbine's Design, worked out anew for the site's air; of the others the curve is kept.
const (
	FromTable   Origin = "power_curve"
	FromDesign  Origin = "design"
	FromTestLog Origin = "test_log"
)

// worked reports whether the curve was worked out, from a design or a log: then blade elements and the method of bins have judged
// it by their own rules, and a second look for slips of a unit would only find lulls and starts.
func (t *Turbine) worked() bool {
	return t.Design != nil || t.TestLog != nil || t.Kept != nil && t.Kept.Origin != FromTable
}

// told are the warnings of a kept curve's making, but for those that come anew with a design that is worked out anew; nil for nil.
func (k *KeptCurve) told() []Warning {
	if k == nil {
		return nil
	}
	var out []Warning
	for _, w := range k.Warnings {
		if k.Origin != FromDesign || slices.Contains(turbineCodes, w.Code) {
			out = append(out, w)
		}
	}
	return out
}

// provenance says where the curve comes from; nothing where the request gives it.
func (k *KeptCurve) provenance() []Provenance {
	if k == nil {
		return nil
	}
	words := map[Origin]string{FromTable: "a power table", FromDesign: "a design, worked out anew for the site's air",
		FromTestLog: "the machine's own log by the method of bins"}
	out := []Provenance{{"turbine.curve", fmt.Sprintf("kept curve %s: %s", k.ID, words[k.Origin]), "the turbine as it was kept"}}
	return append(out, k.Provenance...)
}

// SketchCode is the warning, and the reason, that a curve is a sketch of too short a log.
const SketchCode = "curve_is_a_sketch"

// sketchWeak is why no verdict may rest on a sketch of a curve.
func sketchWeak(hours string) *Reason {
	return &Reason{SketchCode, "the machine's power curve is a sketch of a log that is too short" + hours + ": go on measuring until its bins are full"}
}

// curveTooWeak says why no verdict may rest on the turbine's curve, or nil.
func (a *assessment) curveTooWeak() *Reason {
	switch k := a.r.Turbine.Kept; {
	case a.machine != nil:
		return a.machine.Weak
	case k != nil && k.Sketch:
		return sketchWeak("")
	}
	return nil
}
