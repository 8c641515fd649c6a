package spread

import (
	"fmt"
	"math"
	"runtime"
	"sync"
	"sync/atomic"

	"mastworth/resource"
)

// The outputs of a height, or of the array.
const (
	yearEnergy = iota
	lifeEnergy
	yearCost
	lifeCost
	netValue
	outputs
)

// drawn are the values of all outputs, draw by draw.
type drawn [outputs][]float64

// draw is one run.
type draw struct {
	model   *Model
	sources []Source
	seed    uint64
	workers int
	blocks  int
	size    int // of a block, a power of two

	years, solarYears int
	mean, even        []float64 // weights of the years: plain and discounted, with the decline
	solarMean         []float64
	solarEven         []float64
	present           float64 // present worth of 1 a year

	scores     [][]float64 // source, draw; of the first year
	lifeScores [][]float64 // the scaled mean of the years, where they are drawn every year; else the same as scores
	heights    []drawn
	solar      drawn
	price      []float64
	tallies    []tally // block
}

// tally counts what happened in a block.
type tally struct {
	cheapest, bestValue, belowSolar, belowPrice []int // height
	beyond, looked, clipped, factors            int
}

// Draw propagates the sources' distributions through the model. Faults in model, sources or options are a *Fault. Time grows
// in proportion to draws and to heights; memory is about 40 bytes a draw and height.
func Draw(m Model, sources []Source, o Options) (Result, error) {
	if err := validate(&m, sources, &o); err != nil {
		return Result{}, err
	}
	d := newDraw(&m, sources, &o)
	d.each(d.blocks, func() func(int) {
		w := d.room()
		return func(b int) { d.block(b, w) }
	})
	return d.result(o.Keep), nil
}

// blocksFor is the number of nets and the points of each, the largest power of two that leaves at least leastBlocks.
func blocksFor(draws int) (blocks, size int) {
	size = 1
	for (draws+2*size-1)/(2*size) >= leastBlocks {
		size *= 2
	}
	return (draws + size - 1) / size, size
}

func newDraw(m *Model, sources []Source, o *Options) *draw {
	d := &draw{model: m, sources: sources, seed: o.Seed, workers: o.Workers, years: m.LifeYears, solarYears: m.Solar.LifeYears}
	d.blocks, d.size = blocksFor(o.Draws)
	if d.workers <= 0 {
		d.workers = runtime.GOMAXPROCS(0)
	}
	if d.solarYears == 0 {
		d.solarYears = d.years
	}
	d.mean, d.even, d.present = weights(d.years, m.Rate, m.Decline)
	d.solarMean, d.solarEven, _ = weights(d.solarYears, m.Rate, 0)
	n := d.blocks * d.size
	d.scores, d.lifeScores = make([][]float64, len(sources)), make([][]float64, len(sources))
	for i := range sources {
		d.scores[i] = make([]float64, n)
		d.lifeScores[i] = d.scores[i]
		if sources[i].EveryYear && d.yearsOf(&sources[i]) > 1 {
			d.lifeScores[i] = make([]float64, n)
		}
	}
	d.heights = make([]drawn, len(m.Heights))
	for i := range d.heights {
		d.heights[i] = newDrawn(n)
	}
	d.solar = newDrawn(n)
	d.price = make([]float64, n)
	d.tallies = make([]tally, d.blocks)
	return d
}

func newDrawn(n int) drawn {
	var out drawn
	room := make([]float64, outputs*n)
	for i := range out {
		out[i] = room[i*n : (i+1)*n : (i+1)*n]
	}
	return out
}

// weights are those of the years in the mean of a life and in its discounted mean, and the present worth of 1 a year.
func weights(years int, rate, decline float64) (mean, even []float64, present float64) {
	mean, even = make([]float64, years), make([]float64, years)
	for y := range even {
		even[y] = math.Exp(-float64(y+1) * math.Log1p(rate))
		present += even[y]
	}
	for y := range even {
		left := math.Pow(1-decline, float64(y))
		mean[y] = left / float64(years)
		even[y] *= left / present
	}
	return mean, even, present
}

// yearsOf is how many years a source that is drawn every year has.
func (d *draw) yearsOf(s *Source) int {
	if s.Kind == SolarEnergy {
		return d.solarYears
	}
	return d.years
}

// each does 0 to n−1 on the workers, each of which has room of its own in what worker makes.
func (d *draw) each(n int, worker func() func(i int)) {
	workers := min(d.workers, n)
	if workers <= 1 {
		f := worker()
		for i := range n {
			f(i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			f := worker()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wg.Wait()
}

// warnings tell of draws that left what the model knows.
func (d *draw) warnings(r *Result) []resource.Warning {
	var out []resource.Warning
	if r.Beyond > 0.001 {
		low, high := d.model.Heights[0].Energy.Range()
		out = append(out, resource.Warning{Code: "draws_beyond_table", Detail: fmt.Sprintf("%.2g %% of the drawn wind speeds fell outside "+
			"%g to %g times the estimate, for which the energy is worked out: above it is held, so the favourable end is a little low",
			100*r.Beyond, low, high)})
	}
	if r.Clipped > 0 {
		out = append(out, resource.Warning{Code: "draws_clipped", Detail: fmt.Sprintf("%.2g %% of the drawn factors would have been below 0 and "+
			"count as 0: an uncertainty is too large for a normal distribution; use a lognormal one or bound it", 100*r.Clipped)})
	}
	for h := range d.heights {
		none := 0
		for _, e := range d.heights[h][lifeEnergy] {
			if e == 0 {
				none++
			}
		}
		if none > 0 {
			out = append(out, resource.Warning{Code: "draws_without_energy", Detail: fmt.Sprintf("in %d of %d draws height number %d makes no "+
				"energy at all; its cost per kWh has no mean", none, r.Draws, h+1)})
		}
	}
	return out
}
