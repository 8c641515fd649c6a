package assess

import (
	"mastworth/resource"
	"mastworth/yield"
)

// blend is wind without times of its own that reaches the hub by several factors, each for a share of the time.
type blend struct {
	parts []part
	winds []powered // one a part: weibullPower or histogramPower
}

func newBlend(parts []part, by func(factor float64) powered) *blend {
	b := &blend{parts: parts, winds: make([]powered, len(parts))}
	for i, p := range parts {
		b.winds[i] = by(p.factor)
	}
	return b
}

// mean weighs a figure of each part.
func (b *blend) mean(of func(powered) float64) float64 {
	sum := 0.0
	for i, w := range b.winds {
		sum += b.parts[i].share * of(w)
	}
	return sum
}

func (b *blend) meanPower(c *yield.Curve) (float64, *[12]float64) {
	return b.mean(func(p powered) float64 {
		watts, _ := p.meanPower(c)
		return watts
	}), nil
}

// wind is the blend's mean and power; before is the mean speed where it was measured.
func (b *blend) wind(rho, before float64) HeightWind {
	speed := b.mean(func(p powered) float64 { return momentOf(p, 1) })
	return HeightWind{
		MeanSpeedMS: speed, PowerDensityWM2: 0.5 * rho * b.mean(func(p powered) float64 { return momentOf(p, 3) }),
		AirDensityKgM3: rho, HeightFactor: speed / before,
	}
}

func momentOf(p powered, order int) float64 {
	switch p := p.(type) {
	case weibullPower:
		if order == 1 {
			return p.w.Mean()
		}
		return p.w.MeanCube()
	case histogramPower:
		if order == 1 {
			return p.h.Mean()
		}
		return p.h.MeanCube()
	}
	panic("assess: a blend of something else")
}

// refit gives a blend of several parts one Weibull distribution beside it, with its mean and its power; a single part has its
// own. Calms stay apart.
func (b *blend) refit(at *hub) error {
	if len(b.parts) == 1 {
		return nil
	}
	windy := 1 - at.wind.CalmShare
	w, err := resource.WeibullOf(at.wind.MeanSpeedMS/windy, at.wind.PowerDensityWM2/(0.5*at.wind.AirDensityKgM3)/windy)
	if err != nil {
		return err
	}
	at.wind.Weibull = WeibullFit{Shape: w.Shape, ScaleMS: w.Scale, ShapeSE: nan, ScaleSEMS: nan, Method: string(resource.MeanAndCube)}
	return nil
}

// weights say where the wind at the hub comes from, by the rose; nil where one factor serves all of it.
func (b *blend) weights(l *lift, rose *directions) *weights {
	if l.by == nil {
		return nil
	}
	w := new(weights)
	for d, share := range rose {
		w.time[d], w.flow[d] = share, share*l.by[0][d][0]
	}
	return w
}
