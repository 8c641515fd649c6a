package chart

import (
	"image/color"
	"math"
)

// luminance is the relative luminance of a colour (WCAG 2.1, "relative luminance"), 0 to 1.
func luminance(c color.NRGBA) float64 {
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// linear undoes the curve of sRGB (IEC 61966-2-1).
func linear(v uint8) float64 {
	x := float64(v) / 255
	if x <= 0.04045 {
		return x / 12.92
	}
	return math.Pow((x+0.055)/1.055, 2.4)
}

// contrast is the contrast ratio of two colours (WCAG 2.1, "contrast ratio"), 1 to 21.
func contrast(a, b color.NRGBA) float64 {
	x, y := luminance(a)+0.05, luminance(b)+0.05
	return max(x, y) / min(x, y)
}
