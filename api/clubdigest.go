package api

import (
	"encoding/json"
	"fmt"
	"math"

	"mastworth/api/document"
	"mastworth/openapi"
)

// Figures shown to everybody have so many digits. More would not be truer, and many exact figures of the sun together would tell the
// latitude of a garden whose place is rounded.
const (
	publicDigits  = 3
	monthlyDigits = 2
	keptPlaceDeg  = 0.01 // the finest step of a place that is shown
)

// digest is what of an estimate may be shown to everybody, at most. It is kept beside the estimate, so that the club's pages open
// neither an estimate nor a request: what is not in here cannot be shown.
type digest struct {
	Methods     string                   `json:"methods"` // that made it; see service.methods
	Latitude    float64                  `json:"latitude"`
	Longitude   float64                  `json:"longitude"`
	Machine     string                   `json:"machine"`
	RotorM      *float64                 `json:"rotor_m"`
	HubHeightM  *float64                 `json:"hub_height_m"`
	NetKWh      *float64                 `json:"net_kwh"`
	P90KWh      *float64                 `json:"p90_kwh"`
	PerKWh      *float64                 `json:"per_kwh"`
	SolarPerKWh *float64                 `json:"solar_per_kwh"`
	Currency    string                   `json:"currency"`
	Verdict     openapi.BoardSiteVerdict `json:"verdict"`
	Chance      *float64                 `json:"chance"`
	Heights     []openapi.PublicHeight   `json:"heights"`
	WindMonths  []float64                `json:"wind_months"`
	SolarMonths []float64                `json:"solar_months"`
	SolarKW     *float64                 `json:"solar_kw"`
	Capital     *float64                 `json:"capital"`
}

// methods names everything a digest rests on besides the request.
func (s *service) methods() string { return document.Methods + " " + s.Version }

// boardOf makes the digest of an estimate document.
func (s *service) boardOf(estimate []byte) ([]byte, error) {
	var e openapi.Estimate
	if err := json.Unmarshal(estimate, &e); err != nil {
		return nil, fmt.Errorf("an estimate that was just written: %w", err)
	}
	d := digestOf(&e)
	d.Methods = s.methods()
	out, err := json.Marshal(d)
	if err != nil {
		return nil, fmt.Errorf("the account of an estimate for the board: %w", err)
	}
	return out, nil
}

func digestOf(e *openapi.Estimate) digest {
	r := &e.Request
	d := digest{
		Latitude: toStep(r.Site.Latitude, keptPlaceDeg), Longitude: toStep(r.Site.Longitude, keptPlaceDeg),
		Machine: orEmpty(r.Turbine.Name), RotorM: r.Turbine.RotorDiameterM, HubHeightM: e.BestHubHeightM,
		Currency: orEmpty(r.Money.Currency), Verdict: openapi.BoardSiteVerdict(e.Verdict.Answer),
	}
	if design := r.Turbine.Design; design != nil && d.RotorM == nil {
		d.RotorM = &design.Rotor.DiameterM
	}
	for i := range e.Heights {
		h := &e.Heights[i]
		shown := openapi.PublicHeight{HubHeightM: h.HubHeightM, NetKWh: digits(h.Energy.NetKWh, publicDigits),
			CostPerKWh: digits(h.Cost.PerKWh, publicDigits)}
		if o := h.Odds; o != nil && o.Life.EnergyKWh != nil {
			shown.LowKWh = digits(o.Life.EnergyKWh.Symmetric95.Low, publicDigits)
			shown.HighKWh = digits(o.Life.EnergyKWh.Symmetric95.High, publicDigits)
		}
		d.Heights = append(d.Heights, shown)
		if e.BestHubHeightM != nil && h.HubHeightM == *e.BestHubHeightM {
			d.best(h)
		}
	}
	return d
}

// best fills in what is told of the best height alone.
func (d *digest) best(h *openapi.HeightEstimate) {
	d.NetKWh, d.PerKWh = digits(h.Energy.NetKWh, publicDigits), digits(h.Cost.PerKWh, publicDigits)
	d.SolarPerKWh, d.SolarKW = digits(h.Solar.PerKWh, publicDigits), digits(h.Solar.ArrayKW, publicDigits)
	d.Capital = digits(h.Cost.Capital, publicDigits)
	d.WindMonths, d.SolarMonths = months(h.Energy.MonthlyKWh), months(h.Solar.MonthlyKWh)
	if o := h.Odds; o != nil {
		if o.Life.EnergyKWh != nil {
			d.P90KWh = digits(o.Life.EnergyKWh.P90, publicDigits)
		}
		if o.BelowBoth != nil && d.Verdict != openapi.BoardSiteVerdictCannotSay { // a chance of what nothing is known of would be taken for one
			share := wholeShare(o.BelowBoth.Share)
			d.Chance = &share
		}
	}
}

// wholeShare rounds a chance to whole per cent. What pages call under 1 % or over 99 % stays so.
func wholeShare(share float64) float64 {
	switch {
	case share < 0.01:
		return 0
	case share > 0.99:
		return 1
	}
	return math.Round(100*share) / 100
}

func orEmpty(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}

// digits rounds a number to so many significant digits; nil stays nil.
func digits(v *float64, n int) *float64 {
	if v == nil {
		return nil
	}
	out := toDigits(*v, n)
	return &out
}

func toDigits(v float64, n int) float64 {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return v
	}
	unit := math.Pow(10, float64(n-1)-math.Floor(math.Log10(math.Abs(v))))
	return math.Round(v*unit) / unit
}

func months(kWh []float64) []float64 {
	if kWh == nil {
		return nil
	}
	out := make([]float64, len(kWh))
	for i, v := range kWh {
		out[i] = toDigits(v, monthlyDigits)
	}
	return out
}

// toStep rounds degrees to whole multiples of a step.
func toStep(deg, step float64) float64 {
	const clean = 1e9 // takes off what binary fractions leave behind
	return math.Round(math.Round(deg/step)*step*clean) / clean
}
