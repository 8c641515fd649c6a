package assess

import (
	"errors"
	"fmt"

	"mastworth/yield"
	"mastworth/yield/drive"
	"mastworth/yield/machine"
)

// ErrStopped is what Run gives when Request.Stop told it to give up.
var ErrStopped = errors.New("the estimate was stopped")

// bestHub is where a design is judged: the best height, or the lowest where none is best.
func (a *assessment) bestHub(heights []Height) *hub { return &a.hubs[max(best(heights), 0)] }

// tryOthers tries the design's sweep in the wind at the best height.
func (a *assessment) tryOthers(heights []Height) error {
	d := a.r.Turbine.Design
	if d == nil || d.Sweep == nil {
		return nil
	}
	at := a.bestHub(heights)
	sweep := *d.Sweep
	sweep.AirDensityKgM3, sweep.Stop = at.wind.AirDensityKgM3, a.r.Stop
	found, err := machine.Match(d.Design, sweep, at.mean, a.r.Progress)
	switch {
	case errors.Is(err, drive.ErrStopped):
		return ErrStopped
	case err != nil:
		return invalid("turbine.design.sweep", "%s", err)
	}
	a.machine.Matching = found
	return nil
}

// mean is the mean power of a curve in the hub's wind, W: of a record by its piled speeds, which is some millionth off.
func (h *hub) mean(c *yield.Curve) float64 { return h.power.meanPowerAt(c, 1) }

// tellOverRating adds to the warning of too much current how much of the site's energy it concerns.
func (a *assessment) tellOverRating(heights []Height) {
	if a.machine == nil || a.machine.Design == nil {
		return
	}
	share := a.machine.Design.OverRatingShare(a.bestHub(heights).mean)
	a.machine.OverRatingShare = share
	if share != share {
		return
	}
	for i := range a.warnings {
		if w := &a.warnings[i]; w.Code == machine.OverCurrentCode {
			w.Detail += fmt.Sprintf(" At this site, %s m up, it is %.0f %%: the headline counts that energy, and a winding that is to last will not make it.",
				metres(heights[max(best(heights), 0)].HubHeightM), 100*share)
		}
	}
}
