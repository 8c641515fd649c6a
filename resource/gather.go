package resource

import "math"

// tally sums the speeds of one month or hour.
type tally struct {
	n       int
	sum     float64
	cubes   float64
	covered int64 // s
}

// stat finishes a tally of a period that has a time within the record, s.
func (t *tally) stat(time int64) PeriodStat {
	n := float64(t.n)
	return PeriodStat{N: t.n, Mean: t.sum / n, MeanCube: t.cubes / n, Completeness: share(t.covered, time)}
}

// share is part/whole, at most 1 (where steps are longer than the period they are counted in); NaN for no whole.
func share(part, whole int64) float64 {
	if whole <= 0 {
		return math.NaN()
	}
	return math.Min(1, float64(part)/float64(whole))
}

// totals sums all speeds of a channel. Squares are taken of what differs from the first speed, so that no digits are lost.
type totals struct {
	n, calm         int
	first           float64
	off, squaresOff float64 // sums of v − first and of its square
	cubes, fastest  float64
}

func (t *totals) into(st *Statistics) {
	n := float64(t.n)
	off := t.off / n
	st.Mean = t.first + off
	st.SD = math.Sqrt(math.Max(0, t.squaresOff-n*off*off) / (n - 1))
	st.MeanCube = t.cubes / n
	st.CalmShare = float64(t.calm) / n
	st.Max = t.fastest
	if t.n == 0 {
		st.Max = math.NaN()
	}
	if t.n < 2 {
		st.SD = math.NaN()
	}
}

// gathered is what one pass over a channel leaves.
type gathered struct {
	speeds           []float64 // usable ones, in the order of time
	sectors          []int8    // of each; −1 for calms and where there is no usable direction
	missing, flagged int
	all              totals
	months           [12]tally
	hours            [24]tally
}

// gather passes once over a channel.
func gather(s *Series, c *Channel) *gathered {
	g := &gathered{speeds: make([]float64, 0, len(c.Values)), sectors: make([]int8, 0, len(c.Values))}
	direction := &Channel{}
	if i := s.Find(Direction, c.HeightM); i >= 0 {
		direction = &s.Channels[i]
	}
	hasDirection := direction.Values != nil
	first, month := int64(math.MinInt64), 0 // of the day at hand
	for i, v := range c.Values {
		covered := s.StepS
		if i+1 < len(s.Times) {
			next := s.Times[i+1] - s.Times[i]
			if next > s.StepS && s.StepS > 0 {
				g.missing += int((2*next+s.StepS)/(2*s.StepS)) - 1 // rounded: stamps may wander
			} else if next < s.StepS {
				covered = next
			}
		}
		if v != v {
			g.missing++
			continue
		}
		if c.Flags != nil && c.Flags[i] != 0 {
			g.flagged++
			continue
		}
		local := s.Times[i] + s.UTCOffsetS
		if local < first || local >= first+secondsPerDay {
			day := floorDiv(local, secondsPerDay)
			first = day * secondsPerDay
			_, month, _ = civil(day)
		}
		sector := int8(-1)
		if hasDirection && v > 0 && direction.Usable(i) {
			sector = int8(SectorOf(direction.Values[i], SectorCount))
		}
		g.speeds = append(g.speeds, v)
		g.sectors = append(g.sectors, sector)
		cube := v * v * v
		g.all.add(v, cube)
		g.months[month].add(v, cube, covered)
		g.hours[(local-first)/secondsPerHour].add(v, cube, covered)
	}
	return g
}

func (t *totals) add(v, cube float64) {
	if t.n == 0 {
		t.first = v
	}
	t.n++
	if v == 0 {
		t.calm++
	}
	off := v - t.first
	t.off += off
	t.squaresOff += off * off
	t.cubes += cube
	if v > t.fastest {
		t.fastest = v
	}
}

func (t *tally) add(v, cube float64, covered int64) {
	t.n++
	t.sum += v
	t.cubes += cube
	t.covered += covered
}

// sectorStats parts the speeds by sector; nil where none has a direction.
func (g *gathered) sectorStats() []SectorStat {
	var from [SectorCount + 1]int
	for _, k := range g.sectors {
		if k >= 0 {
			from[k+1]++
		}
	}
	for k := range SectorCount {
		from[k+1] += from[k]
	}
	all := from[SectorCount]
	if all == 0 {
		return nil
	}
	bySector := make([]float64, all)
	next := from
	for i, k := range g.sectors {
		if k >= 0 {
			bySector[next[k]] = g.speeds[i]
			next[k]++
		}
	}
	const width = 360.0 / SectorCount
	out := make([]SectorStat, SectorCount)
	for k := range out {
		speeds := bySector[from[k]:from[k+1]]
		st := SectorStat{
			FromDeg: math.Mod(360+(float64(k)-0.5)*width, 360), ToDeg: (float64(k) + 0.5) * width,
			N: len(speeds), Share: float64(len(speeds)) / float64(all), Mean: MeanOf(speeds),
		}
		for _, v := range speeds {
			st.MeanCube += v * v * v
		}
		st.MeanCube /= float64(len(speeds))
		if f, err := FitSpeeds(speeds, MaximumLikelihood); err == nil {
			st.Fit = &f
		}
		out[k] = st
	}
	return out
}
