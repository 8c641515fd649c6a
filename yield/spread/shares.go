package spread

import "math"

// degrees is the highest degree of the polynomials that stand for what a source does by itself.
const degrees = 3

// basis are the polynomials in a source's scores that are orthonormal over the draws: p₀ = 1 and
// pₖ₊₁ = ((x − aₖ)pₖ − bₖpₖ₋₁)/bₖ₊₁ (Stieltjes' procedure). Any distribution, and any mean of years, has its own.
type basis struct{ a, b [degrees + 1]float64 }

// at writes p₁ to p₃ at a score.
func (q *basis) at(x float64) (p1, p2, p3 float64) {
	p1 = (x - q.a[0]) / q.b[1]
	p2 = ((x-q.a[1])*p1 - q.b[1]) / q.b[2]
	p3 = ((x-q.a[2])*p2 - q.b[2]*p1) / q.b[3]
	return p1, p2, p3
}

// newBasis makes the polynomials of scores; false where the scores do not vary enough for it.
func newBasis(x []float64) (basis, bool) {
	var q basis
	n := float64(len(x))
	for k := range q.a {
		norm, first := 0.0, 0.0
		for _, v := range x {
			p := [degrees + 2]float64{1: 1} // p₋₁, p₀, …
			for j := range k {
				p[j+2] = (v-q.a[j])*p[j+1] - q.b[j]*p[j]
				if j < k-1 { // the last one's norm is what is looked for
					p[j+2] /= q.b[j+1]
				}
			}
			norm += p[k+1] * p[k+1]
			first += v * p[k+1] * p[k+1]
		}
		if !(norm > 1e-20*n) {
			return q, false
		}
		if k > 0 {
			q.b[k] = math.Sqrt(norm / n)
		}
		q.a[k] = first / norm
	}
	return q, true
}

// project is the sum of the squares of the values' coefficients on each output, so the variance that the scores explain.
func project(x []float64, values [][]float64) []float64 {
	out := make([]float64, len(values))
	q, ok := newBasis(x)
	if !ok {
		return out
	}
	const chunk = 512
	var p1, p2, p3 [chunk]float64
	sums := make([][degrees]float64, len(values))
	for from := 0; from < len(x); from += chunk {
		part := x[from:min(from+chunk, len(x))]
		for i, v := range part {
			p1[i], p2[i], p3[i] = q.at(v)
		}
		for k, v := range values {
			s1, s2, s3 := sums[k][0], sums[k][1], sums[k][2] // apart, so that they stay in registers
			for i, y := range v[from : from+len(part)] {
				s1 += y * p1[i]
				s2 += y * p2[i]
				s3 += y * p3[i]
			}
			sums[k] = [degrees]float64{s1, s2, s3}
		}
	}
	for k, s := range sums {
		for _, c := range s {
			c /= float64(len(x))
			out[k] += c * c
		}
	}
	return out
}

// touches reports whether a kind of source moves an output of a height, or of the array.
func (k Kind) touches(output int, solar bool) bool {
	energy := output == yearEnergy || output == lifeEnergy
	switch k {
	case WindSpeed, WindEnergy:
		return !solar
	case SolarEnergy:
		return solar
	case Costs, Capital, Upkeep:
		return !solar && !energy
	case SolarCost:
		return solar && !energy
	default:
		return !solar && output == netValue
	}
}

// explained is the variance each source explains of each output: height (the array last), output, source.
func (d *draw) explained() [][outputs][]float64 {
	all := append(append([]drawn(nil), d.heights...), d.solar)
	out := make([][outputs][]float64, len(all))
	for h := range out {
		for k := range out[h] {
			out[h][k] = make([]float64, len(d.sources))
		}
	}
	explain := func(i int, x []float64, kinds ...int) {
		var values [][]float64
		var places []*float64
		for h := range all {
			for _, k := range kinds {
				solar := h == len(d.heights)
				moves := d.sources[i].Kind.touches(k, solar) && (solar || d.sources[i].at(h) > 0)
				if moves && known(all[h][k]) {
					values = append(values, all[h][k])
					places = append(places, &out[h][k][i])
				}
			}
		}
		for j, v := range project(x, values) {
			*places[j] = v
		}
	}
	source := func(i int) {
		year, life := d.scores[i], d.lifeScores[i]
		if &year[0] == &life[0] {
			explain(i, year, yearEnergy, yearCost, lifeEnergy, lifeCost, netValue)
			return
		}
		explain(i, year, yearEnergy, yearCost)
		explain(i, life, lifeEnergy, lifeCost, netValue)
	}
	d.each(len(d.sources), func() func(int) { return source })
	return out
}

func known(values []float64) bool { return !math.IsNaN(values[0]) }

// share fills in a spread's contributions.
func (d *draw) share(s *Spread, explained []float64) {
	s.Contributions = make([]Contribution, len(d.sources))
	variance := s.SD.Value * s.SD.Value
	s.Together = 1
	for i := range d.sources {
		c := explained[i] / variance
		switch {
		case math.IsNaN(variance):
			c = math.NaN()
		case variance == 0 || s.SD.Value < 1e-13*math.Abs(s.Mean.Value):
			c = 0
		}
		s.Contributions[i] = Contribution{d.sources[i].Name, c}
		s.Together -= c
	}
	if variance == 0 || s.SD.Value < 1e-13*math.Abs(s.Mean.Value) {
		s.Together = 0
	}
}
