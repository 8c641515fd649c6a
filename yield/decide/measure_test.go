package decide_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"

	"mastworth/yield/decide"
)

// loss is the unit normal linear loss integral.
func loss(u float64) float64 { return distuv.UnitNormal.Prob(u) - u*distuv.UnitNormal.Survival(u) }

// rho is the correlation of a campaign's answer with the truth, by the textbook.
func rho(sd, keeps, noise float64) float64 {
	l2 := sd*sd - keeps*keeps
	return l2 / math.Sqrt(l2+noise*noise) / sd
}

// The expected cost of a wrong decision about a straight line is its slope times the unit normal linear loss integral; the
// values are those of the tables in books on decision theory (from memory, four places).
func TestKnowingByTheLossTable(t *testing.T) {
	for _, c := range []struct{ u, table float64 }{{0, 0.3989}, {0.5, 0.1978}, {1, 0.0833}, {1.5, 0.0293}, {2, 0.0085}} {
		near(t, "the integral", loss(c.u), c.table, 5e-5)
		for _, side := range []float64{1, -1} {
			m := measure(t, decide.Prospect{Value: straight(side*c.u, 1, 0.2), SpeedSD: 0.2})
			near(t, "value of knowing", m.Today.ValueOfKnowing, c.table, 5e-5)
			near(t, "value of knowing, exactly", m.Today.ValueOfKnowing, loss(c.u), 1e-10)
			near(t, "chance of being wrong", m.Today.ChanceWrong, distuv.UnitNormal.Survival(c.u), 1e-10)
			near(t, "expected value", m.Today.ExpectedValue, side*c.u, 1e-12)
			if c.u > 0 && m.Today.Build != (side > 0) {
				t.Errorf("at %g: build is %t", side*c.u, m.Today.Build)
			}
		}
	}
}

// With a straight line the posterior mean is normal with ρ times the slope as its standard deviation (Raiffa & Schlaifer 1961,
// chapter 5, from memory), so the loss integral gives the gain of any campaign, and the normal distribution its chance to flip.
func TestMeasuringAStraightLine(t *testing.T) {
	for _, sd := range []float64{0.02, 0.1, 0.25, 1} {
		for _, keep := range []float64{0, 0.3, 0.9, 1} {
			for _, noise := range []float64{1e-9, 1e-4, 0.003, 0.03, 0.06, 0.15, 2, math.Inf(1)} {
				for _, offset := range []float64{0, 0.3, -1, 2.5} {
					m := measure(t, decide.Prospect{Value: straight(5000*offset, 5000, sd), SpeedSD: sd, Keeps: keep * sd},
						decide.Campaign{Months: 6, NoiseSD: noise, Cost: 120})
					w, r := m.Campaigns[0], rho(sd, keep*sd, noise)
					name := fmt.Sprintf("sd %g, keeps %g, noise %g, offset %g: ", sd, keep, noise, offset)
					gain, flips := 0.0, 0.0
					if r > 0 {
						gain, flips = 5000*r*loss(math.Abs(offset)/r), distuv.UnitNormal.Survival(math.Abs(offset)/r)
					}
					near(t, name+"gain", w.ValueOfMeasuring, gain, 5000*1e-9)
					near(t, name+"flips", w.FlipChance, flips, 1e-9)
					near(t, name+"after", w.SpeedSDAfter, sd*math.Sqrt(1-r*r), 1e-8)
					near(t, name+"shrink", w.Shrink, 1-math.Sqrt(1-r*r), 1e-7)
					near(t, name+"net", w.NetOfCost, w.ValueOfMeasuring-120, 1e-9)
				}
			}
		}
	}
}

// A Value straight in the factor itself: the factor is lognormal with mean 1, its partial expectation Φ(d₁) − h·Φ(d₂) (textbook),
// and its posterior mean is lognormal with mean 1 too, of the logarithm's standard deviation ρ·sd.
func TestLognormal(t *testing.T) {
	for _, sd := range []float64{0.05, 0.2, 0.5} {
		for _, h := range []float64{0.7, 0.95, 1, 1.1, 1.6} {
			partial := func(s float64) float64 {
				d := (-math.Log(h) + s*s/2) / s
				above := distuv.UnitNormal.CDF(d) - h*distuv.UnitNormal.CDF(d-s)
				return above - math.Max(0, 1-h)
			}
			m := measure(t, decide.Prospect{Value: func(f float64) float64 { return f - h }, SpeedSD: sd, Keeps: 0.03},
				decide.Campaign{Months: 3, NoiseSD: 0.1})
			near(t, "mean", m.Today.ExpectedValue, 1-h, 1e-9)
			near(t, "knowing", m.Today.ValueOfKnowing, partial(sd), 1e-9)
			near(t, "measuring", m.Campaigns[0].ValueOfMeasuring, partial(sd*rho(sd, 0.03, 0.1)), 1e-9)
		}
	}
}

// A Value that turns twice, a − (z − 0.2)²: after an answer u its mean is a − (ρu − 0.2)² − (1 − ρ²), so all is known. In the
// last two the turns of the decision lie close together.
func TestTurningTwice(t *testing.T) {
	const sd = 0.2
	r := rho(sd, 0.05, 0.07)
	n := distuv.UnitNormal
	for _, c := range []struct{ a, sign float64 }{{0.6, 1}, {0.6, -1}, {1 - r*r + 0.004, 1}, {1 - r*r + 1e-5, -1}} {
		a, sign := c.a, c.sign
		top := a - 1 + r*r
		low, high := (0.2-math.Sqrt(top))/r, (0.2+math.Sqrt(top))/r
		inside := n.CDF(high) - n.CDF(low)
		gain := (top-0.04)*inside + 0.4*r*(n.Prob(low)-n.Prob(high)) - r*r*(inside-high*n.Prob(high)+low*n.Prob(low))
		m := measure(t, decide.Prospect{SpeedSD: sd, Keeps: 0.05, Value: func(f float64) float64 {
			z := math.Log(f)/sd + sd/2 - 0.2
			return sign * (a - z*z)
		}}, decide.Campaign{Months: 6, NoiseSD: 0.07})
		near(t, "gain", m.Campaigns[0].ValueOfMeasuring, gain, 1e-9)
		near(t, "flips", m.Campaigns[0].FlipChance, inside, 1e-7) // turns that nearly meet are hard to place
		near(t, "wrong", m.Today.ChanceWrong, n.CDF(0.2+math.Sqrt(a))-n.CDF(0.2-math.Sqrt(a)), 1e-9)
	}
}

// A Value with a kink, a jump and a flat zero: what it is worth to know is still exact.
func TestKinksAndJumps(t *testing.T) {
	const sd = 0.15
	n := distuv.UnitNormal
	score := func(f float64) float64 { return math.Log(f)/sd + sd/2 }
	// max(z, −0.7) − 0.2: mean L(−0.7) − 0.7 − 0.2, gains above the turn at 0.2.
	m := measure(t, decide.Prospect{Value: func(f float64) float64 { return math.Max(score(f), -0.7) - 0.2 }, SpeedSD: sd})
	near(t, "kink: mean", m.Today.ExpectedValue, -0.7-0.2+loss(-0.7), 1e-9)
	near(t, "kink: wrong", m.Today.ChanceWrong, n.Survival(0.2), 1e-9)
	near(t, "kink: knowing", m.Today.ValueOfKnowing, loss(0.2), 1e-9)
	// A step from −1 to 2 at z = 0.313.
	m = measure(t, decide.Prospect{Value: func(f float64) float64 {
		if score(f) < 0.313 {
			return -1
		}
		return 2
	}, SpeedSD: sd}, decide.Campaign{Months: 1, NoiseSD: 0.15})
	near(t, "jump: mean", m.Today.ExpectedValue, 3*n.Survival(0.313)-1, 1e-9)
	near(t, "jump: knowing", m.Today.ValueOfKnowing, n.CDF(0.313), 1e-9)
	// ρ = √½, and the posterior mean is 0 where P(z > 0.313) = 1/3: u = (0.313 + rest·z(1/3)) / ρ.
	r := math.Sqrt(0.5)
	turn := (0.313 - r*n.Quantile(2.0/3)) / r
	near(t, "jump: flips", m.Campaigns[0].FlipChance, n.CDF(turn), 1e-8)
	// Nothing at stake anywhere, and nothing but above.
	for _, v := range []float64{0, 1, -1} {
		m = measure(t, decide.Prospect{Value: func(f float64) float64 { return v * math.Max(0, f-1) }, SpeedSD: sd}, decide.Campaign{Months: 1, NoiseSD: 0.1})
		if m.Today.ChanceWrong != 0 || m.Today.ValueOfKnowing != 0 || m.Campaigns[0].ValueOfMeasuring != 0 || m.Campaigns[0].FlipChance != 0 {
			t.Errorf("%g: nothing can be learnt, got %+v", v, m)
		}
	}
	m = measure(t, decide.Prospect{Value: func(f float64) float64 { return f - 2 }}, decide.Campaign{Months: 1})
	if m.Today != (decide.Today{ExpectedValue: -1}) || m.Campaigns[0].ValueOfMeasuring != 0 {
		t.Errorf("without a doubt there is nothing to learn, got %+v", m)
	}
}

// A Value that jumps at random has no integral to find, but is done with in bounded time and keeps the order of things.
func TestRandomJumps(t *testing.T) {
	calls := 0
	m := measure(t, decide.Prospect{SpeedSD: 0.2, Value: func(f float64) float64 {
		calls++
		return math.Sin(1e9 * f)
	}}, decide.Campaign{Months: 1, NoiseSD: 0.1})
	if w := m.Campaigns[0]; w.ValueOfMeasuring < 0 || w.ValueOfMeasuring > m.Today.ValueOfKnowing || calls > 5e6 {
		t.Errorf("got %+v after %d calls", m, calls)
	}
}

// windlike rises with the cube of the wind, is flat above and below, as a machine's worth is.
func windlike(f float64) float64 { return 9000*math.Min(f*f*f, 2.2) - 9500*math.Sqrt(math.Max(f, 0.6)) }

// Draws of the truth and of what is measured, each followed by the decision its posterior makes, must gain as much in the mean
// as the integrals say, within four standard errors.
func TestAgainstPlainDraws(t *testing.T) {
	const sd, keeps, noise, draws, inner = 0.22, 0.06, 0.09, 40000, 150
	m := measure(t, decide.Prospect{Value: windlike, SpeedSD: sd, Keeps: keeps}, decide.Campaign{Months: 6, NoiseSD: noise})
	learnt := sd*sd - keeps*keeps
	weight := learnt / (learnt + noise*noise)
	after := math.Sqrt(keeps*keeps + learnt*(1-weight))
	strata := make([]float64, inner)
	for i := range strata {
		strata[i] = math.Exp(after * distuv.UnitNormal.Quantile((float64(i)+0.5)/inner))
	}
	r := rand.New(rand.NewPCG(7, 1))
	var gain, gain2, flips, known, known2 float64
	for range draws {
		fixed := math.Sqrt(learnt) * r.NormFloat64()
		answer := fixed + noise*r.NormFloat64()
		truth := windlike(math.Exp(fixed + keeps*r.NormFloat64() - sd*sd/2))
		mean := 0.0
		for _, s := range strata {
			mean += windlike(math.Exp(weight*answer-sd*sd/2) * s)
		}
		won := 0.0
		if (mean > 0) != m.Today.Build {
			flips++
			won = truth
			if m.Today.Build {
				won = -truth
			}
		}
		gain, gain2 = gain+won, gain2+won*won
		regret := math.Max(0, truth)
		if m.Today.Build {
			regret = math.Max(0, -truth)
		}
		known, known2 = known+regret, known2+regret*regret
	}
	check := func(name string, sum, squares, want float64) {
		mean := sum / draws
		near(t, name, mean, want, 4*math.Sqrt((squares/draws-mean*mean)/draws))
	}
	check("measuring", gain, gain2, m.Campaigns[0].ValueOfMeasuring)
	check("knowing", known, known2, m.Today.ValueOfKnowing)
	check("flips", flips, flips, m.Campaigns[0].FlipChance)
	if f := m.Campaigns[0].FlipChance; f < 0.05 || f > 0.6 {
		t.Errorf("the case shows little: flips %g", f)
	}
}

// Laws: measuring gains between nothing and knowing; a better campaign never gains less nor shrinks less; the unit of money
// scales all money; what keeps more is worth less to measure.
func TestLawsOfMeasuring(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sd := rapid.Float64Range(0.01, 0.5).Draw(t, "sd")
		keeps := rapid.Float64Range(0, 0.95).Draw(t, "keeps") * sd
		power := rapid.Float64Range(0.5, 3).Draw(t, "power")
		turn := rapid.Float64Range(0.6, 1.6).Draw(t, "turn")
		cap := rapid.Float64Range(1.1, 4).Draw(t, "cap")
		value := func(f float64) float64 { return 1000 * (math.Min(math.Pow(f, power), cap) - turn) }
		var campaigns []decide.Campaign
		for _, months := range []int{1, 2, 3, 6, 12, 24, 60} {
			campaigns = append(campaigns, decide.Campaign{Months: months, NoiseSD: decide.NoiseOf(months, 0.06, 0.02, false)})
		}
		m, err := decide.Measure(decide.Prospect{Value: value, SpeedSD: sd, Keeps: keeps}, campaigns)
		if err != nil {
			t.Fatal(err)
		}
		scaled, _ := decide.Measure(decide.Prospect{Value: func(f float64) float64 { return 7 * value(f) }, SpeedSD: sd, Keeps: keeps}, campaigns)
		freer, _ := decide.Measure(decide.Prospect{Value: value, SpeedSD: sd, Keeps: keeps / 2}, campaigns)
		const tiny = 1e-5 // of 1000
		last := decide.Worth{SpeedSDAfter: sd}
		for i, w := range m.Campaigns {
			switch {
			case w.ValueOfMeasuring < last.ValueOfMeasuring-tiny || w.ValueOfMeasuring > m.Today.ValueOfKnowing:
				t.Fatalf("%d months gain %g after %g, knowing %g", w.Months, w.ValueOfMeasuring, last.ValueOfMeasuring, m.Today.ValueOfKnowing)
			case w.SpeedSDAfter > last.SpeedSDAfter || w.SpeedSDAfter < keeps*(1-1e-12):
				t.Fatalf("%d months leave %g after %g, keeps %g", w.Months, w.SpeedSDAfter, last.SpeedSDAfter, keeps)
			case w.FlipChance < 0 || w.FlipChance > 1 || w.Shrink < 0 || w.Shrink > 1:
				t.Fatalf("%d months: %+v", w.Months, w)
			case math.Abs(scaled.Campaigns[i].ValueOfMeasuring-7*w.ValueOfMeasuring) > 10*tiny:
				t.Fatalf("sevenfold money: %g, not seven times %g", scaled.Campaigns[i].ValueOfMeasuring, w.ValueOfMeasuring)
			case freer.Campaigns[i].ValueOfMeasuring < w.ValueOfMeasuring-tiny:
				t.Fatalf("%d months gain %g, less with half kept: %g", w.Months, w.ValueOfMeasuring, freer.Campaigns[i].ValueOfMeasuring)
			}
			last = w
		}
	})
}

// A straight line's decision flips with a chance of one half at most, which it has where nothing is to choose today.
func TestFlipsOfAStraightLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		offset := rapid.Float64Range(-3, 3).Draw(t, "offset")
		noise := rapid.Float64Range(0, 0.5).Draw(t, "noise")
		m, err := decide.Measure(decide.Prospect{Value: straight(offset, 1, 0.2), SpeedSD: 0.2}, []decide.Campaign{{Months: 3, NoiseSD: noise}})
		if err != nil {
			t.Fatal(err)
		}
		if f := m.Campaigns[0].FlipChance; f > 0.5+1e-9 || f > m.Today.ChanceWrong+1e-9 {
			t.Fatalf("flips %g, wrong today %g", f, m.Today.ChanceWrong)
		}
	})
}

func TestFaultsOfMeasuring(t *testing.T) {
	value := func(f float64) float64 { return f - 1 }
	nan := math.NaN()
	for field, c := range map[string]struct {
		p decide.Prospect
		c decide.Campaign
	}{
		"value":                 {decide.Prospect{SpeedSD: 0.1}, decide.Campaign{Months: 1}},
		"speed_sd":              {decide.Prospect{Value: value, SpeedSD: 1.01}, decide.Campaign{Months: 1}},
		"keeps":                 {decide.Prospect{Value: value, SpeedSD: 0.1, Keeps: 0.2}, decide.Campaign{Months: 1}},
		"campaigns[0].months":   {decide.Prospect{Value: value, SpeedSD: 0.1}, decide.Campaign{}},
		"campaigns[0].noise_sd": {decide.Prospect{Value: value, SpeedSD: 0.1}, decide.Campaign{Months: 1, NoiseSD: nan}},
		"campaigns[0].cost":     {decide.Prospect{Value: value, SpeedSD: 0.1}, decide.Campaign{Months: 1, Cost: -1}},
	} {
		_, err := decide.Measure(c.p, []decide.Campaign{c.c})
		blames(t, err, field)
	}
	for _, bad := range []float64{nan, math.Inf(1)} {
		_, err := decide.Measure(decide.Prospect{SpeedSD: 0.1, Value: func(f float64) float64 {
			if f > 1.5 {
				return bad
			}
			return f - 1
		}}, []decide.Campaign{{Months: 1, NoiseSD: 0.1}})
		blames(t, err, "value")
	}
}
