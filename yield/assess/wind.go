package assess

import (
	"math"

	"mastworth/resource"
	"mastworth/yield"
)

// source is the wind where it was measured.
type source interface {
	// heightFor is the measuring height, m above ground, that serves a hub height best.
	heightFor(hubM float64) float64
	// highestM is the greatest height the wind was measured at, m above ground.
	highestM() float64
	// at is the wind at a hub.
	at(fromM, hubM float64, l lift, air float64) (hub, error)
	// air is the density at a hub, kg/m³, and where it comes from.
	air(site Site, hubM float64) (float64, Provenance)
	// tooWeak says why no verdict may rest on this wind, or nil.
	tooWeak() *Reason
}

// hub is the wind at one hub height, ready for a power curve.
type hub struct {
	wind  HeightWind
	basis string
	power powered
	curve *yield.Curve // in the air there
	// weights say where the wind comes from; nil where what is done to it is the same from everywhere.
	weights *weights
	// beyond is the share of time above a speed.
	beyond func(speedMS float64) float64
}

// powered gives the mean power of a curve in a wind, W.
type powered interface {
	// meanPower is that over the year, and by month (nil where months are unknown).
	meanPower(c *yield.Curve) (year float64, months *[12]float64)
	// meanPowerAt is that over the year with every speed times a factor.
	meanPowerAt(c *yield.Curve, factor float64) float64
}

// standardAir is the density of the standard atmosphere at a hub above a site.
func standardAir(site Site, hubM float64) (float64, Provenance) {
	_, _, rho := resource.StandardAir(site.ElevationM + hubM)
	return rho, Provenance{What: "air_density", Method: "standard atmosphere at the hub's elevation", Source: "ISO 2533"}
}

// weibullPower is a Weibull distribution with calms apart.
type weibullPower struct {
	w    resource.Weibull
	calm float64
}

func (p weibullPower) meanPower(c *yield.Curve) (float64, *[12]float64) {
	return (1-p.calm)*c.MeanPowerWeibull(p.w) + p.calm*c.Power(0), nil
}

// given is wind the user described by a distribution.
type given struct {
	w       resource.Weibull
	heightM float64
	method  string
	rose    *directions
}

func newGiven(w *Wind) given {
	rose := roseOf(w.Rose)
	if m := w.Mean; m != nil {
		return given{
			w:       resource.Weibull{Shape: m.Shape, Scale: m.SpeedMS / math.Gamma(1+1/m.Shape)},
			heightM: m.HeightM, method: "mean_and_shape", rose: rose,
		}
	}
	b := w.Weibull
	return given{w: resource.Weibull{Shape: b.Shape, Scale: b.ScaleMS}, heightM: b.HeightM, method: "given", rose: rose}
}

func (g given) heightFor(float64) float64                         { return g.heightM }
func (g given) highestM() float64                                 { return g.heightM }
func (g given) tooWeak() *Reason                                  { return nil }
func (g given) air(site Site, hubM float64) (float64, Provenance) { return standardAir(site, hubM) }
func (g given) at(_, _ float64, l lift, rho float64) (hub, error) {
	b := newBlend(l.parts(g.rose), func(factor float64) powered { return weibullPower{w: g.w.Scaled(factor)} })
	out := hub{
		wind:  b.wind(rho, g.w.Mean()),
		basis: "weibull",
		power: b,
		beyond: func(v float64) float64 {
			return b.mean(func(p powered) float64 { return p.(weibullPower).w.Survival(v) })
		},
		weights: b.weights(&l, g.rose),
	}
	out.wind.Weibull = WeibullFit{Shape: g.w.Shape, ScaleMS: g.w.Scale * b.parts[0].factor, Method: g.method, ShapeSE: nan, ScaleSEMS: nan}
	return out, b.refit(&out)
}

// table is wind given as a frequency table.
type table struct {
	h       resource.Histogram
	fit     resource.Fit
	heightM float64
	rose    *directions
}

func newTable(f *Frequency, rose []float64, warn warner) (table, error) {
	h := resource.Histogram{Edges: []float64{f.Bins[0].FromMS}}
	sum := 0.0
	for _, b := range f.Bins {
		if last := h.Edges[len(h.Edges)-1]; b.FromMS > last {
			h.Edges, h.Shares = append(h.Edges, b.FromMS), append(h.Shares, 0)
		}
		h.Edges, h.Shares = append(h.Edges, b.ToMS), append(h.Shares, b.Share)
		sum += b.Share
	}
	if math.Abs(sum-1) > 1e-6 {
		warn("shares_scaled", "the shares of the frequency table add up to %.4f: they are scaled to 1", sum)
	}
	for i := range h.Shares {
		h.Shares[i] /= sum
	}
	fit, err := resource.FitHistogram(h, resource.MaximumLikelihood)
	if err != nil {
		return table{}, invalid("wind.frequency.bins", "no Weibull distribution fits the table: %s", err)
	}
	return table{h: h, fit: fit, heightM: f.HeightM, rose: roseOf(rose)}, nil
}

func (t table) heightFor(float64) float64                         { return t.heightM }
func (t table) highestM() float64                                 { return t.heightM }
func (t table) tooWeak() *Reason                                  { return nil }
func (t table) air(site Site, hubM float64) (float64, Provenance) { return standardAir(site, hubM) }
func (t table) at(_, _ float64, l lift, rho float64) (hub, error) {
	b := newBlend(l.parts(t.rose), func(factor float64) powered { return histogramPower{t.h.Scaled(factor)} })
	out := hub{
		wind:  b.wind(rho, t.h.Mean()),
		basis: "histogram",
		power: b,
		beyond: func(v float64) float64 {
			return b.mean(func(p powered) float64 { return shareAbove(p.(histogramPower).h, v) })
		},
		weights: b.weights(&l, t.rose),
	}
	fit := t.fit
	fit.Weibull = fit.Weibull.Scaled(b.parts[0].factor)
	fit.ScaleSE *= b.parts[0].factor
	out.wind.Weibull, out.wind.CalmShare = wireFit(fit), fit.CalmShare
	return out, b.refit(&out)
}

type histogramPower struct{ h resource.Histogram }

func (p histogramPower) meanPower(c *yield.Curve) (float64, *[12]float64) {
	return c.MeanPowerHistogram(p.h), nil
}

// shareAbove is the share of time above a speed, even within a bin.
func shareAbove(h resource.Histogram, v float64) float64 {
	sum := 0.0
	for i, share := range h.Shares {
		lo, hi := h.Edges[i], h.Edges[i+1]
		switch {
		case lo >= v:
			sum += share
		case hi > v:
			sum += share * (hi - v) / (hi - lo)
		}
	}
	return sum
}

func wireFit(f resource.Fit) WeibullFit {
	return WeibullFit{Shape: f.Shape, ScaleMS: f.Scale, ShapeSE: f.ShapeSE, ScaleSEMS: f.ScaleSE, Method: string(f.Method)}
}
