package assess

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"mastworth/yield/spread"
)

// The levels whose coverage is counted: the exceedance levels, and the symmetric interval for 95 %.
var (
	levelNames = [6]string{"P50", "P75", "P90", "P95", "P99", "95 % interval"}
	promised   = [6]float64{0.50, 0.75, 0.90, 0.95, 0.99, spread.CoverageProbability}
)

const p90 = 2 // of levelNames

// coverage counts how often the truth lay where a stated distribution said it would.
type coverage struct {
	cases int
	held  [6]int
}

func (c *coverage) add(s *spread.Spread, truth float64) {
	c.cases++
	for i, l := range [5]spread.Level{s.P50, s.P75, s.P90, s.P95, s.P99} {
		if truth >= l.Value {
			c.held[i]++
		}
	}
	if truth >= s.Symmetric.Low && truth <= s.Symmetric.High {
		c.held[5]++
	}
}

func (c *coverage) share(level int) float64 { return float64(c.held[level]) / float64(c.cases) }

// row is one line of the table: a kind of record, and how the stated distributions of the life's energy and of any one year's
// held.
type row struct {
	words      string
	effective  float64 // how many independent cases it is worth
	life, year coverage
}

// add counts an estimate of a life of the years whose energies are given.
func (r *row) add(e *Estimate, truths []float64) {
	odds := e.Heights[0].Odds
	sum := 0.0
	for _, kWh := range truths {
		r.year.add(&odds.Year.Energy, kWh)
		sum += kWh
	}
	r.life.add(&odds.Life.Energy, sum/float64(len(truths)))
}

// band is what a promised coverage may come out as: two standard errors of a binomial share either way, of as many cases as are
// independent, and half a case since shares come in steps.
func (r *row) band(level int) (low, high float64) {
	p := promised[level]
	reach := 2*math.Sqrt(p*(1-p)/r.effective) + 0.5/r.effective
	return p - reach, p + reach
}

// hold fails where a coverage lies outside its band.
func (r *row) hold(t *testing.T) {
	t.Helper()
	for level, name := range levelNames {
		low, high := r.band(level)
		for of, c := range map[string]*coverage{"life": &r.life, "year": &r.year} {
			if got := c.share(level); got < low || got > high {
				t.Errorf("%s: %s of the %s holds %.3f of the time, outside %.3f to %.3f", r.words, name, of, got, low, high)
			}
		}
	}
}

const tableHead = "| record | cases | count as | P50 | P75 | P90 | P95 | P99 | 95 % interval | P90 of one year |\n|---|---|---|---|---|---|---|---|---|---|\n"

func (r *row) String() string {
	var b strings.Builder
	fmt.Fprintf(&b, "| %s | %d | %.0f |", r.words, r.life.cases, r.effective)
	for level := range levelNames {
		fmt.Fprintf(&b, " %.1f %% |", 100*r.life.share(level))
	}
	fmt.Fprintf(&b, " %.1f %% |\n", 100*r.year.share(p90))
	return b.String()
}

func coverageTable(rows []*row) string {
	var b strings.Builder
	b.WriteString(tableHead)
	for _, r := range rows {
		b.WriteString(r.String())
	}
	return b.String()
}
