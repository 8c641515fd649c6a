package terrain

import (
	"fmt"
	"math"

	"mastworth/resource"
)

// band is a factor with the internal layer at a third of its height, at its height, and at three times it.
type band [3]float64

// add adds the part of a factor.
func (b *band) add(of band, part float64) {
	for i := range b {
		b[i] += part * of[i]
	}
}

func (b band) exposure() Exposure {
	return Exposure{Factor: b[1], Low: min(b[0], b[1], b[2]), High: max(b[0], b[1], b[2])}
}

// over is the ratio of two factors whose internal layers err together.
func (b band) over(of band) band { return band{b[0] / of[0], b[1] / of[1], b[2] / of[2]} }

func unknown() Exposure { return certain(math.NaN()) }

func allUnknown() (out [DirectionCount]Exposure) {
	for d := range out {
		out[d] = unknown()
	}
	return out
}

// TransferFrom is Transfer from the grounds where the wind was measured to these. A failure says at which of the places.
func (p *Prepared) TransferFrom(measured *Prepared, fromM, toM float64) ([DirectionCount]Exposure, error) {
	var fromBuffer, toBuffer [DirectionCount + 1]heightResult
	from, to := measured.height(fromM, fromBuffer[:0]), p.height(toM, toBuffer[:0])
	var out [DirectionCount]Exposure
	for d := range out {
		x, err := p.transfer(measured, d, fromM, toM, from, to)
		if err != nil {
			return allUnknown(), err
		}
		out[d] = x
	}
	return out, nil
}

// transfer is TransferFrom for one direction.
func (p *Prepared) transfer(measured *Prepared, d int, fromM, toM float64, from, to []heightResult) (Exposure, error) {
	if over, ok := measured.plain(d); ok {
		if site, ok := p.plain(d); ok {
			f, err := resource.ExposureFactor(over, site, fromM, toM)
			if err != nil {
				return unknown(), inDirection(d, err)
			}
			return certain(f), nil
		}
	}
	up, err := measured.mixed(d, from)
	if err != nil {
		return unknown(), fmt.Errorf("where the wind was measured: %w", err)
	}
	down, err := p.mixed(d, to)
	if err != nil {
		return unknown(), fmt.Errorf("at the site: %w", err)
	}
	lower := up.exposure()
	if !(lower.Low > 0) {
		return unknown(), fmt.Errorf("where the wind was measured: %w", inDirection(d, fmt.Errorf("%w: a height of %g m may lie below the cover "+
			"beyond the change of ground, where the wind says nothing about that elsewhere; use a higher sensor", resource.ErrInsideCanopy, fromM)))
	}
	if p.alike(measured, d) {
		return down.over(up).exposure(), nil
	}
	upper := down.exposure()
	return Exposure{Factor: upper.Factor / lower.Factor, Low: upper.Low / lower.High, High: upper.High / lower.Low}, nil
}
