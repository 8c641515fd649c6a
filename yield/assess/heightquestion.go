package assess

import (
	"math"
	"slices"

	"mastworth/yield"
)

// heightNodes is at how many heights, beside those of the towers, the wind is followed for the break-even height.
const heightNodes = 16

// heightQuestion asks about the tower's height, with towers priced by the rule or between those that are offered. It is nil where
// no height but one can be looked at.
func (a *assessment) heightQuestion(heights []Height, b int, rivals []Rival) (*question, error) {
	order := byHeight(heights)
	lowest, highest := heights[order[0]].HubHeightM/2, math.Min(2*heights[order[len(order)-1]].HubHeightM, MaxHubHeightM)
	energy, at, err := a.energyByHeight(heights, order, lowest, highest)
	now := heights[b].HubHeightM
	if err != nil || len(at) < 2 || now < at[0] || now > at[len(at)-1] {
		return nil, err
	}
	tower := a.priceByHeight(heights, order)
	price := newPricing(a.r.Money.plan(0))
	return &question{
		name: "hub_height", unit: "m", words: "hub height", now: now, lowest: at[0], highest: at[len(at)-1], rivals: rivals,
		at: func(x float64, rival Rival) (float64, float64) {
			return price.perKWh(tower.at(x), energy.at(math.Log(x))), a.perKWh(rival)
		},
	}, nil
}

// line is a quantity along rising z, straight between its points and beyond them.
type line struct{ z, v []float64 }

func (l *line) at(z float64) float64 {
	n := len(l.z)
	if n == 1 {
		return l.v[0] * z / l.z[0]
	}
	k := min(max(1, sortSearch(l.z, z)), n-1)
	f := (z - l.z[k-1]) / (l.z[k] - l.z[k-1])
	return l.v[k-1] + f*(l.v[k]-l.v[k-1])
}

func sortSearch(z []float64, at float64) int {
	k, _ := slices.BinarySearch(z, at)
	return k
}

// priceByHeight is what a tower costs by its height, m. One tower alone is taken to cost in proportion to its height.
func (a *assessment) priceByHeight(heights []Height, order []int) pricedTowers {
	p := pricedTowers{rule: a.r.TowerRule}
	for _, i := range order {
		p.z, p.v = append(p.z, heights[i].HubHeightM), append(p.v, a.r.Towers[i].Cost)
	}
	return p
}

type pricedTowers struct {
	line
	rule *TowerRule
}

func (p *pricedTowers) at(heightM float64) float64 {
	if p.rule != nil {
		return p.rule.cost(heightM)
	}
	return math.Max(0, p.line.at(heightM))
}

// energyByHeight is the net energy by the logarithm of height. At the towers it is theirs; elsewhere it is what the wind's step
// from the towers on both sides makes of theirs. Heights at which no hub can stand are left out; at are those that are not, to the
// bit: a logarithm and back again is not always the same number.
func (a *assessment) energyByHeight(heights []Height, order []int, lowest, highest float64) (out line, at []float64, err error) {
	add := func(heightM float64) error {
		kWh, err := a.energyAt(heights, order, heightM)
		if kWh == kWh {
			out.z, out.v, at = append(out.z, math.Log(heightM)), append(out.v, kWh), append(at, heightM)
		}
		return err
	}
	var nodes []float64
	for _, i := range order {
		nodes = append(nodes, heights[i].HubHeightM)
	}
	towers := len(nodes)
	for k := range heightNodes {
		z := lowest * math.Pow(highest/lowest, float64(k)/(heightNodes-1))
		if !slices.ContainsFunc(nodes[:towers], func(tower float64) bool { return math.Abs(z-tower) < 1e-6*tower }) {
			nodes = append(nodes, z)
		}
	}
	slices.Sort(nodes)
	for _, z := range slices.CompactFunc(nodes, func(p, q float64) bool { return math.Abs(q-p) < 1e-6*q }) {
		if err := add(z); err != nil {
			return out, at, err
		}
	}
	return out, at, nil
}

// energyAt is the net energy at a height; NaN where no hub can stand there.
func (a *assessment) energyAt(heights []Height, order []int, heightM float64) (float64, error) {
	if a.r.tooLow(heightM) != "" {
		return nan, nil
	}
	k := slices.IndexFunc(order, func(i int) bool { return heights[i].HubHeightM >= heightM*(1-1e-9) })
	above := order[len(order)-1]
	if k >= 0 {
		above = order[k]
	}
	below := above
	if k > 0 {
		below = order[k-1]
	}
	up, err := a.carried(heights, above, heightM)
	if below == above || err != nil {
		return up, err
	}
	from, err := a.carried(heights, below, heightM)
	share := math.Log(heightM/heights[below].HubHeightM) / math.Log(heights[above].HubHeightM/heights[below].HubHeightM)
	return from + share*(up-from), err
}

// carried is the net energy that a tower's wind, carried to another height, makes.
func (a *assessment) carried(heights []Height, i int, heightM float64) (float64, error) {
	h := &heights[i]
	if h.HubHeightM == heightM {
		return h.Energy.NetKWh, nil
	}
	from := h.Wind.MeasuredAtM
	own, ok := a.fullLift(i, from, h.HubHeightM)
	other, okOther := a.fullLift(i, from, heightM)
	if !ok || !okOther {
		return nan, nil
	}
	factor := other.over(&own, a.hubs[i].weights)
	if a.tables != nil && a.tables[i] != nil {
		return a.net(a.tables[i].At(factor)), nil
	}
	at := &a.hubs[i]
	return a.net(yield.AnnualKWh(at.power.meanPowerAt(at.curve, factor))), nil
}

// fullLift is the step from a measuring height to a hub with all that stands around; false where no hub can stand there.
func (a *assessment) fullLift(tower int, fromM, hubM float64) (lift, bool) {
	l, ground, err := a.profile.lift(fromM, hubM, a.sheltered)
	if err != nil {
		return l, false
	}
	around, err := a.around.at(tower, fromM, hubM, ground)
	if err != nil {
		return l, false
	}
	if around != nil {
		l.scale(&around.step)
	}
	return l, true
}

// over is by how much more a lift lifts the mean speed than another, in the wind the other has made.
func (l *lift) over(other *lift, w *weights) float64 {
	if l.by == nil && other.by == nil {
		return l.all / other.all
	}
	sum, all := 0.0, 0.0
	for d, flow := range w.flow {
		sum += flow * l.mean(d) / other.mean(d)
		all += flow
	}
	return sum / all
}

// mean is the factor of a direction over months, night and day alike.
func (l *lift) mean(direction int) float64 {
	if l.by == nil {
		return l.all
	}
	sum := 0.0
	for m := range l.by {
		sum += l.by[m][direction][0] + l.by[m][direction][1]
	}
	return sum / 24
}
