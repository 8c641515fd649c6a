package assess

import (
	"fmt"
	"slices"

	"mastworth/yield"
)

// OwnPowers is what a request's machine makes of its record's wind at one of its towers' hubs, as Run moves it there, at each of the
// record's stamps: W, before losses, NaN where no speed is used. The record counts as it was measured, not as it is stretched to the long
// run: it tells how a time was, and Run's energy what that is held against.
//
// The error is Run's, an *InvalidError for a request that has no record or no such tower.
func OwnPowers(r Request, hubM float64) ([]float64, error) {
	a, err := begin(r)
	if err != nil {
		return nil, err
	}
	w, is := a.source.(*recordWind)
	if !is {
		return nil, invalid("wind.record", "the wind is not from a record")
	}
	tower := slices.IndexFunc(a.r.Towers, func(t Tower) bool { return t.HubHeightM == hubM })
	if tower < 0 {
		return nil, invalid("towers", "none has its hub at %g m", hubM)
	}
	if err := a.height(tower, new(Height)); err != nil {
		return nil, err
	}
	at := &a.hubs[0]
	m, is := at.power.(*moved)
	if !is {
		return nil, fmt.Errorf("assess: a record's wind came to a hub as %T", at.power)
	}
	if w.before != nil {
		w = w.before
	}
	return w.stepPowers(w.column(m.heightM), m.lift, at.curve), nil
}

// stepPowers is what a curve makes of the wind at a hub at each stamp.
func (w *recordWind) stepPowers(c *speedColumn, l lift, curve *yield.Curve) []float64 {
	every := newFrame(w.series, w.series.Len())
	return w.powers(c, l, curve, &every)
}
