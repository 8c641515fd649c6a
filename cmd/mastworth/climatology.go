package main

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"

	"github.com/paulmach/orb"

	"mastworth/openapi"
	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/yield/assess"
)

// readClimatology reads a file of monthly means.
func readClimatology(name string) (ingest.Climatology, error) {
	f, err := os.Open(name)
	if err != nil {
		return ingest.Climatology{}, err
	}
	defer f.Close()
	c, _, err := ingest.ReadClimatology(f)
	if err != nil {
		return c, fmt.Errorf("%s: %w", name, err)
	}
	return c, nil
}

// readMonths puts the months of a request's climatology file in their place, and tells where they come from.
func readMonths(in *openapi.EstimateRequest, folder string) (source string, err error) {
	if in.Solar == nil || in.Solar.ClimatologyFile == nil {
		return "", nil
	}
	bad := func(format string, args ...any) (string, error) {
		return "", &assess.InvalidError{Fields: []assess.FieldError{{Location: "solar.climatology_file", Detail: fmt.Sprintf(format, args...)}}}
	}
	name := *in.Solar.ClimatologyFile
	path := name
	if !filepath.IsAbs(path) {
		path = filepath.Join(folder, path)
	}
	c, err := readClimatology(path)
	if err != nil {
		return bad("%s", err)
	}
	months, err := c.Irradiation()
	if err != nil {
		return bad("%s", err)
	}
	const elsewhereKM = 100 // the same sun, but for mountains and coasts
	if c.Place != nil {
		if d := resource.DistanceKM(c.Place.Point, orb.Point{in.Site.Longitude, in.Site.Latitude}); d > elsewhereKM {
			return bad("%s is of a place %.0f km from the site; get the one for the site", name, d)
		}
	}
	in.Solar.MonthlyIrradiationKWhM2, in.Solar.ClimatologyFile = months[:], nil
	source = "climatology " + name + ", " + c.Attribution
	if c.Period != "" {
		source += ", " + c.Period
	}
	return source, nil
}

// inspectClimatology shows the months of a file that is no record.
func inspectClimatology(w io.Writer, name, format string) error {
	c, err := readClimatology(name)
	if err != nil {
		return err
	}
	if format == "json" {
		return printAs(w, "json", wireClimatology(&c))
	}
	p := &printer{w: w}
	p.climatology(&c)
	return p.err
}

// climatology writes the months for a person, and what a request can take of them.
func (p *printer) climatology(c *ingest.Climatology) {
	of := ""
	if c.Period != "" {
		of = " (" + c.Period + ")"
	}
	p.line("a climatology%s: means of each month, and no record over time", of)
	if c.Place != nil {
		p.line("for %.4g, %.4g, %s m above sea level", c.Place.Point.Lat(), c.Place.Point.Lon(), number(c.Place.ElevationM, "%.4g"))
	}
	p.line("%s", c.Attribution)
	p.line("")
	head, units := []string{"", "global", "direct", "diffuse", "air"}, []string{"", "kWh/m²", "kWh/m²", "kWh/m²", "°C"}
	for _, m := range c.MonthlyWindMS {
		head, units = append(head, fmt.Sprintf("wind at %g m", m.HeightM)), append(units, "m/s")
	}
	rows := [][]string{head, units}
	for i := range 12 {
		row := []string{time.Month(i + 1).String(), number(c.MonthlyGHIKWhM2[i], "%.1f"), number(c.MonthlyDNIKWhM2[i], "%.1f"),
			number(c.MonthlyDHIKWhM2[i], "%.1f"), number(c.MonthlyTemperatureC[i], "%.1f")}
		for _, m := range c.MonthlyWindMS {
			row = append(row, number(m.MeanMS[i], "%.2f"))
		}
		rows = append(rows, row)
	}
	p.grid(rows)
	p.line("")
	if months, err := c.Irradiation(); err == nil {
		p.line("For a request:")
		p.wrapped("  ", ingest.IrradiationWords(months))
	} else {
		p.wrapped("", "It is of no use to a request: "+err.Error()+".")
	}
	p.wrapped("", "The energy in a wind goes with the cube of its speed, so a mean speed is no wind record: mastworth fetch brings the hours.")
}

// climatologyDocument is a climatology for programs; null is not known.
type climatologyDocument struct {
	Climatology struct {
		Latitude     *float64      `json:"latitude"`
		Longitude    *float64      `json:"longitude"`
		ElevationM   *float64      `json:"elevation_m"`
		Period       string        `json:"period"`
		Attribution  string        `json:"attribution"`
		GlobalKWhM2  []*float64    `json:"monthly_irradiation_kwh_m2"`
		DirectKWhM2  []*float64    `json:"monthly_direct_normal_kwh_m2"`
		DiffuseKWhM2 []*float64    `json:"monthly_diffuse_kwh_m2"`
		TemperatureC []*float64    `json:"monthly_temperature_c"`
		PressurePa   []*float64    `json:"monthly_pressure_pa"`
		Wind         []monthlyWind `json:"wind"`
	} `json:"climatology"`
}

type monthlyWind struct {
	HeightM float64    `json:"height_m"`
	MeanMS  []*float64 `json:"monthly_mean_speed_m_s"`
}

func wireClimatology(c *ingest.Climatology) climatologyDocument {
	known := func(v float64) *float64 {
		if v != v {
			return nil
		}
		return &v
	}
	months := func(of *[12]float64) []*float64 {
		out := make([]*float64, len(of))
		for i, v := range of {
			out[i] = known(v)
		}
		return out
	}
	var d climatologyDocument
	out := &d.Climatology
	if c.Place != nil {
		out.Latitude, out.Longitude, out.ElevationM = known(c.Place.Point.Lat()), known(c.Place.Point.Lon()), known(c.Place.ElevationM)
	}
	out.Period, out.Attribution, out.Wind = c.Period, c.Attribution, []monthlyWind{}
	out.GlobalKWhM2, out.DirectKWhM2, out.DiffuseKWhM2 = months(&c.MonthlyGHIKWhM2), months(&c.MonthlyDNIKWhM2), months(&c.MonthlyDHIKWhM2)
	out.TemperatureC, out.PressurePa = months(&c.MonthlyTemperatureC), months(&c.MonthlyPressurePa)
	for i := range c.MonthlyWindMS {
		m := &c.MonthlyWindMS[i]
		out.Wind = append(out.Wind, monthlyWind{m.HeightM, months(&m.MeanMS)})
	}
	return d
}
