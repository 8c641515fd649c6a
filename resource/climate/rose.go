package climate

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// Sector is the wind from one sector of directions. Calms have no direction and are in none.
type Sector struct {
	FromDeg, ToDeg float64 // clockwise; the first is centred on north
	N              int     // speeds above zero with a usable direction in the sector
	Share          float64 // of the time with such a speed in any sector; the shares add up to 1
	MeanMS         float64 // m/s; NaN where there are none
	MeanCube       float64 // m³/s³; NaN where there are none
	// EnergyShare is the sector's part of the summed cubes of speed, and so of the energy in the wind; they add up to 1.
	EnergyShare float64
	// SpeedShares parts Share by the classes of Climate.ClassesMS, for a rose drawn of stacked petals; they add up to Share.
	SpeedShares []float64
	Fit         *resource.Fit // by maximum likelihood; nil where it is refused
	WhyNoFit    error         // wraps a sentinel of package resource; nil where there is a Fit
}

const speedClasses = 5

// classBegins is chosen so that a garden's wind fills the first three classes and the petals stay readable.
var classBegins = [speedClasses]float64{0, 3, 6, 9, 12}

// SpeedClasses says where the speed classes of a rose begin, m/s; each ends where the next begins, and the last is open.
func SpeedClasses() []float64 { return append([]float64(nil), classBegins[:]...) }

func classOf(v float64, begins *[speedClasses]float64) int {
	v *= nudge
	i := 0
	for i+1 < speedClasses && v >= begins[i+1] {
		i++
	}
	return i
}

// rose fills the sectors but for their fits.
func (cl *Climate) rose(g *gathered, weights *[12]float64) {
	all, cubes := 0.0, 0.0
	sectors := make([]Sector, len(g.sectors))
	width := 360 / float64(len(sectors))
	for k := range sectors {
		st := &sectors[k]
		st.FromDeg, st.ToDeg = math.Mod(360+(float64(k)-0.5)*width, 360), (float64(k)+0.5)*width
		st.SpeedShares = make([]float64, speedClasses)
		for m, w := range weights {
			t := &g.sectors[k][m]
			st.N += int(t.n)
			st.Share += w * t.n
			st.MeanMS += w * t.sum
			st.MeanCube += w * t.cubes
			for i, n := range t.classes {
				st.SpeedShares[i] += w * n
			}
		}
		all += st.Share
		cubes += st.MeanCube
	}
	if all == 0 {
		return
	}
	for k := range sectors {
		st := &sectors[k]
		n := st.Share
		st.EnergyShare = st.MeanCube / cubes
		st.MeanMS, st.MeanCube, st.Share = st.MeanMS/n, st.MeanCube/n, n/all
		for i := range st.SpeedShares {
			st.SpeedShares[i] /= all
		}
	}
	cl.Sectors = sectors
}

// fit fits the sector's speeds.
func (st *Sector) fit(s *sample) {
	f, err := s.fit(resource.MaximumLikelihood)
	if err != nil {
		st.WhyNoFit = fmt.Errorf("sector %g to %g degrees: %w", st.FromDeg, st.ToDeg, err)
		return
	}
	st.Fit = &f
}
