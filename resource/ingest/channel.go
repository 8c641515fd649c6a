package ingest

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"mastworth/resource"
)

// channel is a column on its way into a Series: where its field is, what it means and how its text becomes a value.
type channel struct {
	field     int
	name      string
	quantity  resource.Quantity
	heightM   float64
	unit      unit
	slope     float64 // reading = slope·raw + offset
	offset    float64
	plain     bool     // neither unit nor calibration changes a value
	pulses    bool     // the values are counts, to be made speeds when the step is known
	intervalS float64  // over which pulses are counted; 0: the step
	suffix    string   // unit written in every cell, empty: none
	codes     []string // the user's words for missing
	numbers   []float64
	below     float64 // numbers up to here, or from above on, may be codes for missing
	above     float64
	point     byte // decimal sign
	judged    bool // a positive code may as well be a reading: that shows when all values are there

	missing  int64
	coded    []int64 // of the missing, those told by each of numbers; nil: none
	doubted  bool    // a positive code was read as a number so far
	problems int64
	sum      float64
	report   int // index in Report.Columns
}

// prepare settles what depends on the options and on the table.
func (c *channel) prepare(o *Options, point byte) {
	c.point, c.below, c.above = point, greatestCode, leastBeyond
	c.plain = c.unit.plain() && c.slope == 1 && c.offset == 0
	if c.pulses {
		c.plain = true
	}
	c.numbers = missingNumbers
	if q := unitOf(c.quantity); q != pressureUnit && q != irradianceUnit && !c.pulses {
		c.numbers = append(slices.Clone(missingNumbers), doubtfulCodes...)
		c.above = leastDoubtful
	}
	for _, m := range o.Missing {
		if v, err := strconv.ParseFloat(strings.TrimSpace(m), 64); err == nil {
			c.numbers = append(slices.Clip(c.numbers), v)
			c.below, c.above = max(c.below, min(v, 0)), min(c.above, max(v, 0))
		}
		c.codes = append(c.codes, strings.TrimSpace(m))
	}
}

// value reads a field. ok is false when it is neither a number nor a code for missing; the value is NaN then, too.
func (c *channel) value(b []byte) (v float64, ok bool) {
	v, ok = number(b, c.point)
	if !ok {
		return c.words(b)
	}
	if (v <= c.below || v >= c.above) && c.isCode(v) {
		c.missing++
		return math.NaN(), true
	}
	if c.plain && v != 360 {
		c.sum += v
		return v, true
	}
	return c.take(v)
}

func (c *channel) isCode(v float64) bool {
	i := slices.Index(c.numbers, v)
	if i < 0 {
		return false
	}
	if c.judged && v > 0 && !slices.ContainsFunc(c.codes, func(own string) bool { x, err := strconv.ParseFloat(own, 64); return err == nil && x == v }) {
		c.doubted = true
		return false
	}
	c.count(i, 1)
	return true
}

// take converts a reading.
func (c *channel) take(v float64) (float64, bool) {
	if !c.plain {
		if v = c.unit.convert(c.slope*v + c.offset); math.IsInf(v, 0) || math.IsNaN(v) {
			c.problems++
			return math.NaN(), false
		}
	}
	if v == 360 && c.quantity == resource.Direction {
		v = 0
	}
	c.sum += v
	return v, true
}

// words reads what is no bare number: codes for missing, points of the compass, numbers with their unit behind them.
func (c *channel) words(b []byte) (float64, bool) {
	b = trim(b)
	if isMissingWord(b, c.codes) {
		c.missing++
		return math.NaN(), true
	}
	if c.quantity == resource.Direction {
		if v, ok := compassPoint(string(b)); ok {
			return c.take(v)
		}
	}
	if n := len(b) - len(c.suffix); c.suffix != "" && n > 0 && string(b[n:]) == c.suffix {
		if v, ok := number(b[:n], c.point); ok {
			return c.take(v)
		}
	}
	c.problems++
	return math.NaN(), false
}

var compassPoints = [...]string{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"}

// compassPoint reads one of the sixteen points of the compass, degrees.
func compassPoint(s string) (float64, bool) {
	i := slices.Index(compassPoints[:], strings.ToUpper(s))
	return float64(i) * 22.5, i >= 0
}

// speeds turns counts into speeds once the step is known.
func (c *channel) speeds(values []float64, stepS int64) {
	interval := c.intervalS
	if interval <= 0 {
		interval = float64(stepS)
	}
	for i, n := range values {
		if n == 0 {
			continue // no pulse is a calm, whatever the offset says
		}
		v := c.slope*n/interval + c.offset
		if math.IsInf(v, 0) {
			v = math.NaN()
		}
		values[i] = v
	}
}
