package rotor

import "math"

// twoDimensional is the aspect ratio from which Viterna and Corrigan take a blade for infinitely long.
const twoDimensional = 50

// PlateDrag is the drag coefficient of a blade square to the wind, 1.11 + 0.018·AR, and 2.01 from an aspect ratio of 50
// (Viterna and Corrigan 1982). The aspect ratio is span over mean chord; NaN and anything that is not above 0 stand for a
// blade without ends.
func PlateDrag(aspectRatio float64) float64 {
	if !(aspectRatio > 0) || aspectRatio >= twoDimensional {
		return 1.11 + 0.018*twoDimensional
	}
	return 1.11 + 0.018*aspectRatio
}

// Viterna is lift and drag past the stall at an angle of attack in radians above that of the stall and up to π/2, for a
// blade of an aspect ratio (see PlateDrag), from a point at or past the stall between 0 and π/2 (Viterna and Corrigan 1982,
// NASA TM-82944). It meets that point and has no lift and PlateDrag at π/2.
func Viterna(stall PolarPoint, aspectRatio, alphaRad float64) (cl, cd float64) {
	highest := PlateDrag(aspectRatio)
	s, c := math.Sincos(stall.AlphaDeg * math.Pi / 180)
	a2 := (stall.Cl - highest*s*c) * s / (c * c)
	b2 := (stall.Cd - highest*s*s) / c
	sin, cos := math.Sincos(alphaRad)
	return highest*sin*cos + a2*cos*cos/sin, highest*sin*sin + b2*cos
}
