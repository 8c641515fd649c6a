package api

import (
	"math"
	"testing"

	"mastworth/api/page"
	"mastworth/resource"
)

// Speeds in whole metres a second, knots or miles an hour fill every bin there is alike: as many steps in each. Miles an hour go two by two, since
// one is narrower than half a metre a second.
func TestBinsSuitTheSpeeds(t *testing.T) {
	for _, of := range []struct {
		pitch  float64
		feet   bool
		steps  int // in a bin
		widest float64
	}{{1, false, 1, 1}, {1852.0 / 3600, true, 1, 1852.0 / 3600}, {0.44704, false, 2, 2 * 0.44704}, {0.01, true, 0, 0.44704}, {0.01, false, 0, 0}, {0.1, true, 0, 0}, {0.5, false, 1, 0.5}} {
		s := &resource.Series{Channels: []resource.Channel{{Quantity: resource.Speed}}}
		most := int(20.1 / of.pitch)
		for i := range 10 * (most + 1) {
			s.Channels[0].Values = append(s.Channels[0].Values, math.Round(float64(i%(most+1))*of.pitch*100)/100)
		}
		bins := speedBins(s, 0, page.Units{Feet: of.feet})
		if of.widest == 0 {
			if bins != nil {
				t.Errorf("%g m/s: %+v", of.pitch, bins)
			}
			continue
		}
		sum := bins.CalmShare
		for i, x := range bins.Shares {
			sum += x
			if w := bins.EdgesMS[i+1] - bins.EdgesMS[i]; math.Abs(w-of.widest) > 1e-9 {
				t.Errorf("%g m/s: bin %d is %g m/s wide", of.pitch, i, w)
			}
			if of.steps > 0 && math.Abs(x-float64(of.steps)/float64(most+1)) > 1e-9 {
				t.Errorf("%g m/s: bin %d has %g", of.pitch, i, x)
			}
		}
		if math.Abs(sum-1) > 1e-9 || len(bins.EdgesMS) != len(bins.Shares)+1 || of.steps > 0 && math.Abs(bins.EdgesMS[0]-of.pitch/2) > 1e-9 {
			t.Errorf("%g m/s: %g of %+v", of.pitch, sum, bins)
		}
	}
}
