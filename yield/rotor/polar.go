package rotor

import (
	"fmt"
	"math"
	"sort"

	"mastworth/resource"
)

// MaxPolarPoints bounds a table of lift and drag.
const MaxPolarPoints = 2000

// The least a table must cover to say anything of a blade, and the cover under which its extension is warned of.
const (
	leastPoints    = 5
	leastCoverDeg  = 10.0
	narrowCoverDeg = 30.0
)

// PolarPoint is one line of a table of lift and drag.
type PolarPoint struct {
	AlphaDeg float64 // angle of attack, degrees, −180 to 180
	Cl, Cd   float64 // lift and drag coefficients
}

// PolarError says what is wrong with a table of lift and drag, where, and what to do about it.
type PolarError struct {
	Line   int    // counted from 1: of the text, or of the points; 0 for the table as a whole
	Column string // "alpha_deg", "cl", "cd", or empty
	Reason string // with the remedy
}

func (e *PolarError) Error() string {
	switch {
	case e.Line == 0:
		return "polar: " + e.Reason
	case e.Column == "":
		return fmt.Sprintf("polar, line %d: %s", e.Line, e.Reason)
	}
	return fmt.Sprintf("polar, line %d, %s: %s", e.Line, e.Column, e.Reason)
}

// Polar is a Section given by a table of lift and drag, straight between its points, carried to every angle by Viterna.
// It does not change once made, so many callers may share one.
type Polar struct {
	points      []PolarPoint // as given, by rising angle
	reynolds    float64      // of the points; NaN not known
	aspectRatio float64      // NaN: that of the blade it is put on
	plate       bool         // thin: friction follows Blasius, and the section is the same both ways round
	warnings    []resource.Warning

	nodes []node // the whole circle, −π to π
	cells []int  // first node interval that reaches into each of the equal cells of the circle
}

// node is a corner of the whole table and the slopes that follow it.
type node struct{ alpha, cl, cd, clSlope, cdSlope float64 }

// NewPolar makes a section of points measured or computed at one Reynolds number (NaN or 0: not known). The points may
// come in any order. A *PolarError refuses fewer than 5 points or more than MaxPolarPoints, anything not finite, angles
// outside −180 to 180°, an angle given twice, drag below 0, and tables that cover less than 10° or leave out 0° to 5°. A
// table that covers less than 30°, or ends before its stall, is taken with a warning: catalogues often end there, the
// working range of a well-loaded blade lies inside, but start and stall then rest on the extension.
func NewPolar(points []PolarPoint, reynolds float64) (*Polar, error) {
	lines := make([]int, len(points))
	for i := range lines {
		lines[i] = i + 1
	}
	return polarOfLines(points, lines, reynolds)
}

// polarOfLines is NewPolar for points that stood on certain lines.
func polarOfLines(points []PolarPoint, lines []int, reynolds float64) (*Polar, error) {
	if err := checkPoints(points, lines); err != nil {
		return nil, err
	}
	if !(reynolds > 0) || math.IsInf(reynolds, 1) {
		reynolds = math.NaN()
	}
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return points[order[a]].AlphaDeg < points[order[b]].AlphaDeg })
	p := &Polar{points: make([]PolarPoint, len(points)), reynolds: reynolds, aspectRatio: math.NaN()}
	for i, k := range order {
		p.points[i] = points[k]
		if i > 0 && p.points[i].AlphaDeg == p.points[i-1].AlphaDeg {
			return nil, &PolarError{lines[k], "alpha_deg", fmt.Sprintf("the angle %g° is given twice, on line %d too; leave one out",
				points[k].AlphaDeg, lines[order[i-1]])}
		}
	}
	if err := p.checkCover(); err != nil {
		return nil, err
	}
	p.extend()
	return p, nil
}

func checkPoints(points []PolarPoint, lines []int) error {
	if n := len(points); n < leastPoints || n > MaxPolarPoints {
		return &PolarError{0, "", fmt.Sprintf("a table of lift and drag needs from %d to %d lines, not %d", leastPoints, MaxPolarPoints, n)}
	}
	for i, q := range points {
		switch {
		case !(math.Abs(q.AlphaDeg) <= 180):
			return &PolarError{lines[i], "alpha_deg", fmt.Sprintf("the angle of attack must lie from −180 to 180°, not %g", q.AlphaDeg)}
		case !(math.Abs(q.Cl) <= 10):
			return &PolarError{lines[i], "cl", fmt.Sprintf("a lift coefficient of %g cannot be; check the columns' order, alpha_deg, cl, cd", q.Cl)}
		case !(q.Cd >= 0 && q.Cd <= 5):
			return &PolarError{lines[i], "cd", fmt.Sprintf("a drag coefficient of %g cannot be; check the columns' order, alpha_deg, cl, cd", q.Cd)}
		}
	}
	return nil
}

// checkCover refuses what cannot be carried further and notes what rests on the extension.
func (p *Polar) checkCover() error {
	first, last := p.points[0].AlphaDeg, p.points[len(p.points)-1].AlphaDeg
	cover := last - first
	if cover < leastCoverDeg {
		hint := ""
		if math.Abs(first) < math.Pi && math.Abs(last) < math.Pi {
			hint = "; if the angles are radians, name their column alpha_rad"
		}
		return &PolarError{0, "", fmt.Sprintf("the table covers %.3g° of angle of attack only, %g° to %g°; give at least −5° to 15°, "+
			"past the stall%s", cover, first, last, hint)}
	}
	if a, b := p.points[0], p.points[len(p.points)-1]; cover == 360 && (a.Cl != b.Cl || a.Cd != b.Cd) {
		return &PolarError{0, "", fmt.Sprintf("−180° and 180° are one angle, but the table gives it lift and drag of %g and %g at one end, "+
			"%g and %g at the other; leave one out", a.Cl, a.Cd, b.Cl, b.Cd)}
	}
	if first > 0 || last < 5 {
		return &PolarError{0, "", fmt.Sprintf("the table runs from %g° to %g°; it must take in 0° to 5°, where blades work", first, last)}
	}
	best := 0
	for i, q := range p.points {
		if q.AlphaDeg <= 90 && q.Cl > p.points[best].Cl {
			best = i
		}
	}
	if cover < narrowCoverDeg {
		p.warnings = append(p.warnings, resource.Warning{Code: "polar_narrow", Detail: fmt.Sprintf("The table of lift and drag covers "+
			"%.3g° of angle of attack, %g° to %g°; the rest of the circle is filled in by Viterna and Corrigan's rule, and starting "+
			"torque and stall rest on that. A table from −10° to 25° or wider would be surer.", cover, first, last)})
	}
	if best == len(p.points)-1 && last < 90 {
		p.warnings = append(p.warnings, resource.Warning{Code: "polar_before_stall", Detail: fmt.Sprintf("The lift still rises at the "+
			"table's last angle, %g°, so its stall is not in it; the section is taken to stall just there. Add points until the lift "+
			"has fallen.", last)})
	}
	return nil
}

// Points returns a copy of the table as given, by rising angle.
func (p *Polar) Points() []PolarPoint { return append([]PolarPoint(nil), p.points...) }

// Reynolds is the Reynolds number of the table; NaN when not known.
func (p *Polar) Reynolds() float64 { return p.reynolds }

// Warnings says what of the section rests on a weak base.
func (p *Polar) Warnings() []resource.Warning { return append([]resource.Warning(nil), p.warnings...) }

// WithAspectRatio is the same section carried past the stall for a blade of a span over mean chord. A section without one
// is taken as that of a blade without ends until it is put on a rotor, which gives it its blades' own.
func (p *Polar) WithAspectRatio(aspectRatio float64) *Polar {
	q := *p
	q.aspectRatio = aspectRatio
	q.extend()
	return &q
}

// Coefficients are lift and drag at any angle of attack in radians. A plate's drag follows the friction of its Reynolds
// number from 10 000 to 500 000 and stays at that of the nearer end outside, or at 100 000 where it is NaN; a table holds
// for its own Reynolds number and is used as it is at any other. NaN for an angle that is not finite.
func (p *Polar) Coefficients(alphaRad, reynolds float64) (cl, cd float64) {
	if !(math.Abs(alphaRad) <= math.Pi) {
		alphaRad = math.Remainder(alphaRad, 2*math.Pi)
		if math.IsNaN(alphaRad) {
			return alphaRad, alphaRad
		}
	}
	cl, cd = p.at(alphaRad)
	return cl, cd + p.friction(reynolds)
}

// friction is what a Reynolds number adds to the table's drag.
func (p *Polar) friction(reynolds float64) float64 {
	if !p.plate || math.IsNaN(reynolds) {
		return 0
	}
	return plateFriction * (1/math.Sqrt(min(max(reynolds, leastReynolds), lastLaminarRe)) - 1/math.Sqrt(plateReynolds))
}

// at looks an angle from −π to π up in the whole table.
func (p *Polar) at(alpha float64) (cl, cd float64) {
	i := p.cells[int((alpha+math.Pi)*cellsPerRad)]
	for alpha > p.nodes[i+1].alpha {
		i++
	}
	n := &p.nodes[i]
	d := alpha - n.alpha
	return n.cl + n.clSlope*d, n.cd + n.cdSlope*d
}
