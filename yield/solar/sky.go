package solar

import "math"

// SkyModel says how diffuse light is spread over the sky.
//
// The default is Hay & Davies. The records that reach this package mostly split global irradiance by a correlation or a
// model, whose scatter is several times what separates the anisotropic models; it has one physical parameter, no
// classes to jump between, and errs low (the horizon's brightening is left out), which suits a comparison that must not
// flatter. Perez et al. follow measured skies closest where diffuse irradiance is measured; choose it there.
type SkyModel uint8

// The sky models.
const (
	HayDavies SkyModel = iota // Hay & Davies 1980: circumsolar part by the clearness of the beam, the rest even
	Isotropic                 // Liu & Jordan 1963: even; Duffie & Beckman (2.15.1)
	HDKR                      // Hay & Davies with Klucher's horizon brightening, Reindl et al. 1990; D&B (2.16.7)
	Perez                     // Perez et al. 1990: circumsolar and horizon parts by classes of sky; D&B (2.16.14)
)

// String is the model's name in words.
func (m SkyModel) String() string {
	names := [...]string{"Hay-Davies", "isotropic", "HDKR", "Perez"}
	if int(m) < len(names) {
		return names[m]
	}
	return "unknown"
}

// lowestCosZenith is the cosine of 85°: the circumsolar part is not magnified beyond it (Perez et al. 1990).
const lowestCosZenith = 0.08715574274765817

// Sky is the light over a level site at one time.
type Sky struct {
	DirectNormal      float64 // W/m²
	DiffuseHorizontal float64 // W/m²
	CosZenith         float64 // of the sun, above 0
	Extraterrestrial  float64 // normal irradiance above the atmosphere, W/m², above 0
}

// Parts is the same light sorted by where it comes from, W/m².
type Parts struct {
	Beam    float64 // on a plane that faces the sun: direct and circumsolar
	Dome    float64 // on the horizontal: diffuse light that is spread evenly
	Horizon float64 // of the horizon's brightening; HorizonFactor says what a plane gets of it
}

// Parts sorts the light by the model. On the horizontal the parts give back the diffuse irradiance, except that below
// 5° of sun height part of the circumsolar light is left out.
func (s Sky) Parts(m SkyModel) Parts {
	circumsolar, horizon := 0.0, 0.0
	switch m {
	case HayDavies:
		circumsolar = min(s.DirectNormal/s.Extraterrestrial, 1)
	case HDKR:
		circumsolar = min(s.DirectNormal/s.Extraterrestrial, 1)
		direct := s.DirectNormal * s.CosZenith
		if global := direct + s.DiffuseHorizontal; global > 0 {
			horizon = (1 - circumsolar) * math.Sqrt(direct/global)
		}
	case Perez:
		circumsolar, horizon = s.perez()
	case Isotropic:
	}
	return Parts{
		Beam:    s.DirectNormal + s.DiffuseHorizontal*circumsolar/max(s.CosZenith, lowestCosZenith),
		Dome:    s.DiffuseHorizontal * (1 - circumsolar),
		Horizon: s.DiffuseHorizontal * horizon,
	}
}

// DomeFactor is the share of an even sky that a plane of the given tilt sees.
func DomeFactor(tiltDeg float64) float64 { return (1 + math.Cos(tiltDeg*rad)) / 2 }

// GroundFactor is the share of the ground's light that a plane of the given tilt sees.
func GroundFactor(tiltDeg float64) float64 { return (1 - math.Cos(tiltDeg*rad)) / 2 }

// HorizonFactor is what a plane of the given tilt gets of Parts.Horizon: Duffie & Beckman (2.16.7) and (2.16.14).
func (m SkyModel) HorizonFactor(tiltDeg float64) float64 {
	switch m {
	case HDKR:
		s := math.Sin(tiltDeg / 2 * rad)
		return DomeFactor(tiltDeg) * s * s * s
	case Perez:
		return math.Sin(tiltDeg * rad)
	case HayDavies, Isotropic:
	}
	return 0
}

// perezRow is one class of sky: F11 F12 F13 F21 F22 F23.
type perezRow struct{ f11, f12, f13, f21, f22, f23 float64 }

// Perez et al. 1990, table 6; Duffie & Beckman, table 2.16.1.
var (
	perezLimits = [...]float64{1.065, 1.230, 1.500, 1.950, 2.800, 4.500, 6.200}
	perezRows   = [...]perezRow{
		{-0.008, 0.588, -0.062, -0.060, 0.072, -0.022},
		{0.130, 0.683, -0.151, -0.019, 0.066, -0.029},
		{0.330, 0.487, -0.221, 0.055, -0.064, -0.026},
		{0.568, 0.187, -0.295, 0.109, -0.152, -0.014},
		{0.873, -0.392, -0.362, 0.226, -0.462, 0.001},
		{1.132, -1.237, -0.412, 0.288, -0.823, 0.056},
		{1.060, -1.600, -0.359, 0.264, -1.127, 0.131},
		{0.678, -0.327, -0.250, 0.156, -1.377, 0.251},
	}
)

// perez gives the circumsolar and the horizon coefficients, F1 and F2.
func (s Sky) perez() (f1, f2 float64) {
	if s.DiffuseHorizontal <= 0 {
		return 0, 0
	}
	zenith := math.Acos(min(s.CosZenith, 1)) / rad
	kappa := 5.535e-6 * zenith * zenith * zenith
	clearness := (1 + s.DirectNormal/s.DiffuseHorizontal + kappa) / (1 + kappa)
	brightness := airMass(s.CosZenith, zenith) * s.DiffuseHorizontal / s.Extraterrestrial
	row := &perezRows[len(perezRows)-1]
	for i, limit := range perezLimits {
		if clearness < limit {
			row = &perezRows[i]
			break
		}
	}
	z := zenith * rad
	return max(0, row.f11+row.f12*brightness+row.f13*z), row.f21 + row.f22*brightness + row.f23*z
}

// airMass is the relative optical air mass at sea level: Kasten & Young 1989.
func airMass(cosZenith, zenithDeg float64) float64 {
	return 1 / (cosZenith + 0.50572*math.Pow(max(96.07995-zenithDeg, 0.1), -1.6364))
}
