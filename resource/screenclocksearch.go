package resource

import (
	"fmt"
	"math"
	"math/cmplx"
	"slices"
)

// clock searches a record's days for midnights at which their pattern jumps.
type clock struct {
	x      *screening
	days   []courseDay
	sums   []moments // before each day
	widen  float64   // of variances, since neighbouring days go together
	errors float64   // standard errors asked for
	window int       // days on either side
	found  []clockShift
}

// moments are sums over days, from the first on.
type moments struct{ x, y, xx, yy, xy float64 }

// clockShift is a jump of the pattern at the beginning of a day.
type clockShift struct {
	at        int     // place in days
	hours, se float64 // later by the record's clock is positive
}

func newClock(x *screening, days []courseDay, errors float64) *clock {
	c := &clock{x: x, days: days, sums: make([]moments, len(days)+1), window: int(x.limits[clockWindow]), errors: errors}
	total := complex(0, 0)
	for i := range days {
		p := days[i].pointer
		a, b := real(p), imag(p)
		m := c.sums[i]
		c.sums[i+1] = moments{m.x + a, m.y + b, m.xx + a*a, m.yy + b*b, m.xy + a*b}
		total += p
	}
	across, along := 0.0, 0.0
	back := cmplx.Conj(total) / complex(cmplx.Abs(total), 0)
	for i := 1; i < len(days); i++ {
		p, q := imag(days[i-1].pointer*back), imag(days[i].pointer*back)
		across += q * q
		along += p * q
	}
	rho := 0.0
	if across > 0 {
		rho = min(max(along/across, 0), 0.7)
	}
	c.widen = (1 + rho) / (1 - rho)
	return c
}

// pointer is the mean of the pointers of days [from, to), and the variance of its angle.
func (c *clock) pointer(from, to int) (mean complex128, variance float64) {
	a, b, n := c.sums[from], c.sums[to], float64(to-from)
	mean = complex((b.x-a.x)/n, (b.y-a.y)/n)
	length := cmplx.Abs(mean)
	cos, sin := real(mean)/length, imag(mean)/length
	across := (cos*cos*(b.yy-a.yy) + sin*sin*(b.xx-a.xx) - 2*cos*sin*(b.xy-a.xy)) / n
	return mean, max(across, 0) * c.widen / (n * length * length)
}

// shift compares days [from, at) with [at, to).
func (c *clock) shift(from, at, to int) clockShift {
	before, v := c.pointer(from, at)
	after, w := c.pointer(at, to)
	return clockShift{at: at, hours: -cmplx.Phase(after*cmplx.Conj(before)) * hoursPerRadian, se: math.Sqrt(v+w) * hoursPerRadian}
}

// search finds the clearest shift among days [from, to), parts them there, and searches on. Weeks that are too few to tell
// are doubled; more would let the seasons in.
func (c *clock) search(from, to int) {
	best, clearest := clockShift{}, c.errors
	for _, w := range [...]int{c.window, 2 * c.window} {
		for at := from + clockFewestDays; at+clockFewestDays <= to; at++ {
			first, end := max(from, at-w), min(to, at+w)
			if c.days[end-1].day-c.days[first].day > int64(3*w) { // a long gap lies between: the seasons differ
				continue
			}
			s := c.shift(first, at, end)
			clear := math.Abs(s.hours) / s.se
			if clear > clearest && math.Abs(s.hours) >= c.x.limits[clockSmallest] && c.fits(s, first, end) {
				best, clearest = s, clear
			}
		}
	}
	if best.at == 0 {
		return
	}
	c.search(from, best.at)
	c.found = append(c.found, best)
	c.search(best.at, to)
}

// fits reports whether the mean day after a shift, shifted back, is like the mean day before, and more so than as it is;
// days [from, to) are compared.
func (c *clock) fits(s clockShift, from, to int) bool {
	before := c.meanDay(from, s.at)
	after := c.meanDay(s.at, to)
	shifted := correlate(&before, &after, s.hours)
	return shifted >= c.x.limits[clockCorrelation] && shifted > correlate(&before, &after, 0)
}

func (c *clock) meanDay(from, to int) (out [hoursPerDay]float64) {
	for i := from; i < to; i++ {
		for h, v := range c.days[i].hours {
			out[h] += v
		}
	}
	return out
}

// correlate is the correlation of one day's course, which has mean 0, with another's some hours later, interpolated.
func correlate(a, b *[hoursPerDay]float64, later float64) float64 {
	whole := math.Floor(later)
	part := later - whole
	ab, aa, bb := 0.0, 0.0, 0.0
	for h, v := range a {
		k := (h + int(whole) + 2*hoursPerDay) % hoursPerDay
		w := b[k]*(1-part) + b[(k+1)%hoursPerDay]*part
		ab += v * w
		aa += v * v
		bb += w * w
	}
	return ab / math.Sqrt(aa*bb)
}

// tell reports the shifts.
func (c *clock) tell(channel *Channel) {
	s := c.x.s
	for k, f := range c.found {
		from, to := c.days[f.at].from, len(s.Times)-1
		if k+1 < len(c.found) {
			to = c.days[c.found[k+1].at].from - 1
		}
		how := "later"
		if f.hours < 0 {
			how = "earlier"
		}
		detail := fmt.Sprintf("from about %s the daily pattern of %q comes %.2g h %s than before (standard error %.2g h)",
			clockDate(c.days[f.at].day), channel.Name, math.Abs(f.hours), how, f.se)
		if c.summerTime(k) {
			detail += ", as a clock that follows summer time makes it"
		}
		c.x.report(-1, from, to, to-from+1, detail+"; bring the stamps to one standard time and read the record again")
	}
}

// summerHour is how far from one hour a shift is at most to be that of summer time.
const summerHour = 0.4

// summerTime reports whether a shift is one forward in spring or back in autumn, of either half of the earth.
func (c *clock) summerTime(k int) bool {
	f := c.found[k]
	_, month, _ := civil(c.days[f.at].day)
	forward, back := []int{2, 3, 8, 9}, []int{2, 3, 8, 9, 10}
	return math.Abs(f.hours-1) < summerHour && slices.Contains(forward, month) ||
		math.Abs(f.hours+1) < summerHour && slices.Contains(back, month)
}
