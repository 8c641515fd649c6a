package rotor

// Section is the shape of a blade cut across its span, as lift and drag coefficients over the angle of attack.
type Section interface {
	// Coefficients are lift and drag coefficients at an angle of attack in radians and a Reynolds number on the chord. They
	// must be finite and continuous for every angle from −π to π, and the drag above 0; then a rotor can be solved at every
	// tip-speed ratio.
	Coefficients(alphaRad, reynolds float64) (cl, cd float64)
}

// AirViscosityPaS is the dynamic viscosity of air at 15 °C, Pa·s (US Standard Atmosphere 1976).
const AirViscosityPaS = 1.7894e-5

// The friction of a thin plate in laminar flow, both sides: 2·1.328/√Re (Blasius 1908), and the Reynolds numbers it is
// followed over. Under the lower the layers are too thick for the law; over the upper the flow turns turbulent.
const (
	plateFriction  = 2 * 1.328
	plateReynolds  = 1e5 // of the plates' tables
	leastReynolds  = 1e4
	lastLaminarRe  = 5e5
	reynoldsFactor = 3.0 // a measured section is called off its range further away than this
)
