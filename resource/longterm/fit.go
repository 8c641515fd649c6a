package longterm

import (
	"fmt"
	"math"
)

// fewestSectorDays is the least time in common a sector's own line is fitted to, days. Judgement.
const fewestSectorDays = 5

// sums are those of pairs, each less x0 and y0 so that no digits are lost.
type sums struct {
	n                int
	x0, y0           float64
	x, y, xx, yy, xy float64
}

func (s *sums) add(x, y float64) {
	x -= s.x0
	y -= s.y0
	s.n++
	s.x += x
	s.y += y
	s.xx += x * x
	s.yy += y * y
	s.xy += x * y
}

// join adds, or for sign −1 takes away, the pairs of other sums with the same x0 and y0.
func (s *sums) join(o *sums, sign int) {
	f := float64(sign)
	s.n += sign * o.n
	s.x += f * o.x
	s.y += f * o.y
	s.xx += f * o.xx
	s.yy += f * o.yy
	s.xy += f * o.xy
}

func (s *sums) means() (x, y float64) {
	n := float64(s.n)
	return s.x0 + s.x/n, s.y0 + s.y/n
}

// squares are the sums of squares and of products about the means.
func (s *sums) squares() (xx, yy, xy float64) {
	n := float64(s.n)
	return math.Max(0, s.xx-s.x*s.x/n), math.Max(0, s.yy-s.y*s.y/n), s.xy - s.x*s.y/n
}

// r is the correlation; NaN where one of the two does not vary but for rounding.
func (s *sums) r() float64 {
	xx, yy, xy := s.squares()
	const rounding = 1e-12
	if s.n < 2 || xx <= rounding*s.xx || yy <= rounding*s.yy {
		return math.NaN()
	}
	return math.Max(-1, math.Min(1, xy/math.Sqrt(xx*yy)))
}

// line is y = intercept + slope·x.
type line struct{ slope, intercept float64 }

func (l line) at(x float64) float64 { return math.Max(0, l.intercept+l.slope*x) }

// line is that of a method; not a number where the pairs do not give one.
func (s *sums) line(m Method) line {
	x, y := s.means()
	xx, yy, xy := s.squares()
	switch m {
	case LeastSquares:
		return through(x, y, xy/xx)
	case SpeedRatio:
		return line{slope: y / x}
	}
	return through(x, y, math.Sqrt(yy/xx))
}

func through(x, y, slope float64) line { return line{slope, y - slope*x} }

// lines are those of the 12 sectors, and last that of all.
type lines [SectorCount + 1]line

// of is the line for a sector, or for −1 that of all.
func (l *lines) of(sector int) line {
	if sector < 0 {
		return l[SectorCount]
	}
	return l[sector]
}

// tally is the sums of sectors, and last of all pairs.
type tally [SectorCount + 1]sums

func (t *tally) add(sector int8, x, y float64) {
	if sector >= 0 {
		t[sector].add(x, y)
	}
	t[SectorCount].add(x, y)
}

func (t *tally) join(o *tally, sign int) {
	for i := range t {
		t[i].join(&o[i], sign)
	}
}

// own reports whether a sector carries a line of its own.
func own(s *sums, fewest int) bool { return s.n >= fewest && s.r() > 0 }

// lines are those of a method: each sector's own where it has fewest pairs and they rise together, else that of all.
func (t *tally) lines(m Method, sectors bool, fewest int) lines {
	var out lines
	all := t[SectorCount].line(m)
	for i := range out {
		out[i] = all
		if sectors && i < SectorCount && own(&t[i], fewest) {
			out[i] = t[i].line(m)
		}
	}
	return out
}

// fewestInSector is the least number of pairs a sector's own line is fitted to.
func (m *match) fewestInSector() int {
	return max(fewestPairs, int(math.Ceil(fewestSectorDays*secondsPerDay/float64(m.averageS))))
}

// sectors reports whether lines are fitted by sector.
func (m *match) sectors() bool { return m.o.Sectors && m.refDirection != nil }

// relate fits the pairs, month by month so that each can be left out.
func (m *match) relate(p *pairs) (Result, lines, error) {
	months := make([]tally, p.months())
	x0, y0 := mean(p.x), mean(p.y)
	for i := range months {
		for j := range months[i] {
			months[i][j].x0, months[i][j].y0 = x0, y0
		}
	}
	for i, x := range p.x {
		months[p.month[i]].add(p.sector[i], x, p.y[i])
	}
	all := months[0]
	for i := range months[1:] {
		all.join(&months[i+1], 1)
	}
	total := &all[SectorCount]
	r := total.r()
	if !(r > 0 && r*r >= m.o.LeastR2) {
		return Result{}, lines{}, m.poor(r, len(p.x))
	}
	l := all.lines(m.o.Method, m.sectors(), m.fewestInSector())
	x, y := total.means()
	res := Result{
		Method: m.o.Method, ReferenceChannel: m.ref.Name,
		Fits:        m.fits(&all, &l),
		ConcurrentN: total.n, ConcurrentFromUnix: p.fromUnix, ConcurrentToUnix: p.toUnix,
		AverageS: m.averageS, ShiftS: m.shiftS, R: r, R2: r * r,
		Concurrent: Concurrent{TargetMeanMS: y, ReferenceMeanMS: x},
		LeaveOut:   m.leaveOut(p, months, &all),
	}
	n := float64(total.n)
	for i, v := range p.x {
		v = l.of(int(p.sector[i])).at(v)
		res.Concurrent.PredictedMeanCube += v * v * v / n
		res.Concurrent.TargetMeanCube += p.y[i] * p.y[i] * p.y[i] / n
	}
	res.warnPairs(m, p)
	return res, l, nil
}

func (m *match) poor(r float64, n int) error {
	if math.IsNaN(r) {
		return fmt.Errorf("%w: one of the two does not vary over the time both have; see what the screening says of it", ErrPoorCorrelation)
	}
	return fmt.Errorf("%w: r is %.2f and r² %.2f over %d averages of %d s, and an r² of %.2f is the least; try another reference, a wider search for a shift of the clocks, or longer averages",
		ErrPoorCorrelation, r, r*r, n, m.averageS, m.o.LeastR2)
}

// fits tells of the lines.
func (m *match) fits(t *tally, l *lines) []Fit {
	tell := func(sector, at int, source string) Fit {
		s := &t[at]
		x, y := s.means()
		r := s.r()
		return Fit{Sector: sector, N: s.n, Slope: l[at].slope, Intercept: l[at].intercept, R: r, R2: r * r, Ratio: y / x, Source: source}
	}
	out := []Fit{tell(-1, SectorCount, "own")}
	if !m.sectors() {
		return out
	}
	for i := range SectorCount {
		source := "all"
		if own(&t[i], m.fewestInSector()) {
			source = "own"
		}
		out = append(out, tell(i, i, source))
	}
	return out
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}
