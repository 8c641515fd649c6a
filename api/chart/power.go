package chart

import (
	"gonum.org/v1/plot/vg"
)

// PowerCurve is one curve of a comparison.
type PowerCurve struct {
	Name            string
	SpeedMS, PowerW []float64
	UncertaintyW    []float64 // standard; nil for none, NaN where not known
	Measured        bool      // drawn as points with twice the standard uncertainty; else as a line
}

// PowerCurves draws up to three curves in one picture, such as a design's beside the measured one.
func PowerCurves(curves []PowerCurve, u Units) Chart {
	const most = 3
	if len(curves) > most {
		panic("chart: at most three power curves in one picture")
	}
	c := Chart{Name: "power-curves", Title: word("power_curves"), empty: true}
	_, unit := u.speeds(nil)
	c.head = []string{word("curve"), word("speed") + " (" + unit + ")", word("power") + " (W)", word("uncertainty") + " (W)"}
	var speeds, powers [][]float64
	for _, one := range curves {
		need(len(one.SpeedMS), one.PowerW, one.UncertaintyW)
		c.empty = c.empty && !anyKnown(one.PowerW)
		shown, _ := u.speeds(one.SpeedMS)
		doubt := one.UncertaintyW
		if doubt == nil {
			doubt = constant(nan, len(shown))
		}
		for _, r := range rowsOf(shown, one.PowerW, doubt) {
			c.rows = append(c.rows, append([]cell{words(one.Name)}, r...))
		}
		low, high := around(one.PowerW, one.UncertaintyW)
		speeds, powers = append(speeds, shown), append(powers, one.PowerW, low, high)
		c.alt = join(c.alt, peak(one.Name, shown, one.PowerW, unit))
	}
	c.alt = word("power_curves") + ": " + orWords(c.alt, word("not_known"))
	c.draw = func(s *sheet) {
		power, per := powerUnit(powers...)
		shown := make([][]float64, len(powers))
		for i := range powers {
			shown[i] = over(powers[i], per)
		}
		g := &grid{xWords: word("speed") + ", " + unit, yWords: word("power") + ", " + power, x: scaleOf(true, 8, speeds...), y: scaleOf(true, 5, shown...)}
		var entries []entry
		for i, one := range curves {
			look := curveLooks[i]
			y, low, high := shown[3*i], shown[3*i+1], shown[3*i+2]
			title := func(k int) string { return one.Name + ", " + pair(speeds[i][k], unit, y[k], power) }
			if !one.Measured {
				entries = append(entries, entry{look.role, asLine, look.dashes, one.Name})
				g.layers = append(g.layers, whiskers("doubt", look.role, speeds[i], low, high), curve("line", look.role, speeds[i], y, look.dashes...))
				continue
			}
			name := one.Name
			if one.UncertaintyW != nil {
				name += ", " + word("twice")
			}
			entries = append(entries, entry{look.role, asDot, nil, name})
			g.layers = append(g.layers, whiskers("doubt", look.role, speeds[i], low, high), dots("mark", look.role, speeds[i], y, title))
		}
		s.legend(entries...)
		s.grid(g)
	}
	return c
}

var curveLooks = [...]struct {
	role   role
	dashes []vg.Length
}{{first, nil}, {second, dashed(8, 3)}, {third, dashed(2, 3)}}

// around is twice the standard uncertainty to either side; nil without any.
func around(list, doubt []float64) (low, high []float64) {
	if doubt == nil {
		return nil, nil
	}
	low, high = make([]float64, len(list)), make([]float64, len(list))
	for i, x := range list {
		low[i], high[i] = x-2*doubt[i], x+2*doubt[i]
	}
	return low, high
}

func peak(name string, speeds, powers []float64, unit string) string {
	best := -1
	for i, p := range powers {
		if known(p) && (best < 0 || p > powers[best]) {
			best = i
		}
	}
	if best < 0 {
		return name + " " + word("not_known")
	}
	return word("peak", name, figure(powers[best]), figure(speeds[best]), unit)
}
