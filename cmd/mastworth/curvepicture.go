package main

import (
	"math"

	"mastworth/api/chart"
	"mastworth/yield"
	"mastworth/yield/bins"
	"mastworth/yield/machine"
)

// picture draws curves as SVG, in one frame.
func (j *curveJob) picture(curves ...chart.PowerCurve) error {
	return chart.PowerCurves(curves, chart.Units{}).SVG(j.s.out, chart.Options{})
}

// drawnLine is a curve worked out, as a line.
func drawnLine(points []yield.Point) chart.PowerCurve {
	out := chart.PowerCurve{Name: "design, at the terminals"}
	for _, p := range points {
		out.SpeedMS, out.PowerW = append(out.SpeedMS, p.SpeedMS), append(out.PowerW, p.PowerW)
	}
	return out
}

// drawnBins are a log's bins, as points with what they are uncertain by.
func drawnBins(r *bins.Result) chart.PowerCurve {
	out := chart.PowerCurve{Name: "measured", Measured: true}
	for _, b := range r.Bins {
		if !math.IsNaN(b.PowerW) {
			out.SpeedMS, out.PowerW = append(out.SpeedMS, b.SpeedMS), append(out.PowerW, b.PowerW)
			out.UncertaintyW = append(out.UncertaintyW, b.UncertaintyW())
		}
	}
	return out
}

// drawnDesign is the design in the log's air, at the log's winds.
func drawnDesign(c *machine.Comparison) chart.PowerCurve {
	var points []yield.Point
	for _, r := range c.Rows {
		points = append(points, yield.Point{SpeedMS: r.WindMS, PowerW: r.DesignW})
	}
	return drawnLine(points)
}
