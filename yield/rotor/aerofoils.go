package rotor

// s809 is the S809 at a Reynolds number of 1.0e6, measured by Ohio State University, total drag (NREL/TP-500-29955, tables
// as transcribed).
var s809 = []PolarPoint{
	{-20.1, -0.550, 0.298}, {-18.2, -0.650, 0.296}, {-16.2, -0.800, 0.183}, {-14.1, -0.790, 0.079}, {-12.1, -0.700, 0.055},
	{-10.2, -0.630, 0.075}, {-8.2, -0.580, 0.027}, {-6.2, -0.610, 0.019}, {-4.1, -0.400, 0.013}, {-2.1, -0.160, 0.009},
	{0.0, 0.070, 0.009}, {2.1, 0.300, 0.009}, {4.1, 0.550, 0.009}, {6.1, 0.790, 0.009}, {8.2, 0.900, 0.017},
	{10.1, 0.940, 0.049}, {11.2, 0.930, 0.052}, {12.2, 0.970, 0.064}, {13.3, 1.000, 0.070}, {14.2, 1.020, 0.083},
	{15.2, 1.030, 0.108}, {16.2, 1.010, 0.143}, {17.2, 0.950, 0.170}, {18.1, 0.900, 0.185}, {19.2, 0.780, 0.347},
	{20.0, 0.670, 0.321}, {22.1, 0.700, 0.370}, {24.0, 0.770, 0.435}, {26.1, 0.910, 0.536},
}

// flatUnderside is an aerofoil 12 % thick with a flat underside, as carved by hand, at a Reynolds number of 200 000; the
// angle is that of the underside. From memory of the range of published figures.
var flatUnderside = []PolarPoint{
	{-12, -0.55, 0.130}, {-10, -0.48, 0.090}, {-8, -0.36, 0.052}, {-6, -0.20, 0.028}, {-4, 0.00, 0.018}, {-2, 0.20, 0.0145},
	{0, 0.40, 0.013}, {2, 0.60, 0.0135}, {4, 0.79, 0.015}, {6, 0.96, 0.018}, {8, 1.10, 0.023}, {10, 1.20, 0.032},
	{12, 1.25, 0.050}, {14, 1.20, 0.085}, {16, 1.08, 0.140}, {18, 0.98, 0.195}, {20, 0.93, 0.240},
}

// S809 is the thick aerofoil S809 for wind turbines, measured at a Reynolds number of a million (NREL/TP-500-29955).
func S809() *Polar { return known(s809, 1e6) }

// FlatUnderside is a hand-carved aerofoil 12 % thick with a flat underside, at a Reynolds number of 200 000, from memory of
// published ranges: good to about a tenth in lift and a third in drag.
func FlatUnderside() *Polar { return known(flatUnderside, 2e5) }

func known(points []PolarPoint, reynolds float64) *Polar {
	p, err := NewPolar(points, reynolds)
	if err != nil {
		panic("rotor: a built-in table of lift and drag is faulty")
	}
	return p
}
