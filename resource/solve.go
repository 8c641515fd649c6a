package resource

import (
	"fmt"
	"math"
)

// The shapes a fit may have. Wind lies between 1 and 4; outside these bounds the data are no wind.
const (
	smallestShape = 0.1
	largestShape  = 100 // standard deviation 1.3 % of the mean
)

// solveShape finds the shape k at which f, which falls as k rises, is zero. It halves the range of ln k, so that it
// cannot fail where there is a solution, and 60 steps reach the last digit. It refuses what lies outside the shapes a
// fit may have.
func solveShape(f func(k float64) float64) (float64, error) {
	if !(f(smallestShape) >= 0) { // also where the data overflow and f is NaN
		return 0, errWild()
	}
	if f(largestShape) > 0 {
		return 0, errSteady()
	}
	lo, hi := math.Log(smallestShape), math.Log(largestShape)
	for range 60 {
		middle := (lo + hi) / 2
		if f(math.Exp(middle)) > 0 {
			lo = middle
		} else {
			hi = middle
		}
	}
	return math.Exp((lo + hi) / 2), nil
}

func errSteady() error {
	return fmt.Errorf("%w: the shape would be above %d, that is a spread of about 1 %% of the mean; a stuck sensor does that, wind does not",
		ErrConstant, largestShape)
}

func errWild() error {
	return fmt.Errorf("%w: the shape would be below %g; look for absurdly high or low values", ErrNoShape, smallestShape)
}
