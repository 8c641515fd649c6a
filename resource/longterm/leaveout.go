package longterm

import "math"

// What a month needs to be predicted from the others, and how many there must be. Judgement.
const (
	fewestDaysOfMonth = 10
	fewestMonths      = 3
)

// leaveOut predicts every calendar month of the pairs from the others.
func (m *match) leaveOut(p *pairs, months []tally, all *tally) LeaveOut {
	out := LeaveOut{MeanErrorRMS: math.NaN(), CubeErrorRMS: math.NaN(), MeanBias: math.NaN(), CubeBias: math.NaN()}
	fewest := max(2, int(math.Ceil(fewestDaysOfMonth*secondsPerDay/float64(m.averageS))))
	var mean, cube, meanSquare, cubeSquare float64
	counted, begins := 0, 0
	for k := range months {
		n := months[k][SectorCount].n
		ends := begins + n
		if n >= fewest {
			rest := *all
			rest.join(&months[k], -1)
			if !(rest[SectorCount].r() > 0) {
				begins = ends
				continue
			}
			l := rest.lines(m.o.Method, m.sectors(), m.fewestInSector())
			e, c := p.errors(&l, begins, ends)
			if !math.IsNaN(e) {
				counted++
				mean, meanSquare = mean+e, meanSquare+e*e
				cube, cubeSquare = cube+c, cubeSquare+c*c
			}
		}
		begins = ends
	}
	out.Months = counted
	if counted < fewestMonths {
		return out
	}
	n := float64(counted)
	out.MeanErrorRMS, out.MeanBias = math.Sqrt(meanSquare/n), mean/n
	out.CubeErrorRMS, out.CubeBias = math.Sqrt(cubeSquare/n), cube/n
	return out
}

// errors are the relative errors of mean and mean cube as predicted for the pairs [from, to); NaN for months of calm.
func (p *pairs) errors(l *lines, from, to int) (mean, cube float64) {
	var is, isCube, was, wasCube float64
	for i := from; i < to; i++ {
		v, y := l.of(int(p.sector[i])).at(p.x[i]), p.y[i]
		is += v
		isCube += v * v * v
		was += y
		wasCube += y * y * y
	}
	if was == 0 {
		return math.NaN(), math.NaN()
	}
	return is/was - 1, isCube/wasCube - 1
}
