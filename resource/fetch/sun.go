package fetch

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"net/url"
	"time"

	"mastworth/resource"
	"mastworth/resource/ingest"
)

// sunnyMonths is how many months of the year a record must have irradiance in, for an estimate to take the sun from it.
const sunnyMonths = 11

// addSun brings the place's mean sun of each month where the record has none to estimate from. It is a help and no more:
// what goes wrong with it is a warning. The one error is the context's.
func (c *Client) addSun(ctx context.Context, place Place, s *resource.Series, f *Fetched) error {
	if !c.o.MonthlySun || monthsOfSun(s) >= sunnyMonths {
		return nil
	}
	months, climatology, got, err := c.monthlySun(ctx, place)
	f.Warnings = append(f.Warnings, got.notes...)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		f.Warnings = append(f.Warnings, warn("monthly_sun_unknown", "The record has no irradiance to estimate solar from, and the monthly means of "+
			"the place could not be had (%v). Without solar.monthly_irradiation_kwh_m2 an estimate goes by the latitude alone.", err))
		return nil
	}
	f.Sun = &climatology
	f.Requests = append(f.Requests, got.request(0))
	f.FromCache = f.FromCache && got.fromCache
	of := climatology.Attribution
	if climatology.Period != "" {
		of += ", " + climatology.Period
	}
	f.Warnings = append(f.Warnings, warn("monthly_sun", "The record has no irradiance to estimate solar from. Monthly means of the place (%s), as a request "+
		"takes them: %s", of, ingest.IrradiationWords(months)))
	return nil
}

// monthlySun asks for the climatology of a place. A cached one is good for as long as the list of stations is: it changes
// once in some years.
func (c *Client) monthlySun(ctx context.Context, place Place) (months [12]float64, of ingest.Climatology, got found, err error) {
	lat, lon := place.rounded()
	address := c.o.Sources.NASAPowerMonths + "?" + url.Values{
		"parameters": {"ALLSKY_SFC_SW_DWN"}, "community": {"RE"}, "latitude": {degrees(lat)}, "longitude": {degrees(lon)},
		"format": {"CSV"}, "time-standard": {"LST"},
	}.Encode()
	q := &query{archive: NASAPower, name: "The monthly sun", url: address, key: address, looks: looksPower, once: true,
		use: func(a *Answer) (err error) {
			if of, _, err = ingest.ReadClimatology(bytes.NewReader(a.Body)); err == nil {
				months, err = of.Irradiation()
			}
			if err != nil {
				return &Error{Kind: ErrNotData, Archive: NASAPower, Reason: "the answer cannot be read: " + err.Error(), Cause: err}
			}
			return elsewhere(NASAPower, 0, place, of.Place)
		}}
	got, err = c.answer(ctx, q)
	return months, of, got, err
}

// elsewhere refuses an answer for another place; nil where the answer does not tell.
func elsewhere(a Archive, year int, place Place, answered *resource.Place) error {
	const elsewhereKM = 100 // an archive may answer for a cell further on, to stay on land
	if answered == nil {
		return nil
	}
	if d := resource.DistanceKM(place.point(), answered.Point); d > elsewhereKM {
		return &Error{Kind: ErrNotData, Archive: a, Year: year, Reason: fmt.Sprintf("the answer is for a place %.0f km away", d),
			Remedy: "ask for other years or another source"}
	}
	return nil
}

// monthsOfSun counts the months of the year, January to December, in which the record has usable irradiance, global or
// direct and diffuse, at the noons of half the days: what an estimate asks of a month, nearly.
func monthsOfSun(s *resource.Series) int {
	at := func(q resource.Quantity) *resource.Channel {
		if i := s.Find(q, math.NaN()); i >= 0 {
			return &s.Channels[i]
		}
		return nil
	}
	global, direct, diffuse := at(resource.GlobalHorizontal), at(resource.DirectNormal), at(resource.DiffuseHorizontal)
	if s.StepS > 3600 || global == nil && (direct == nil || diffuse == nil) {
		return 0
	}
	const halfAMonth = 14 * 3600 // days, an hour of noon each, s
	var noons [13]int64
	for i, t := range s.Times {
		if !(global != nil && global.Usable(i) || direct != nil && diffuse != nil && direct.Usable(i) && diffuse.Usable(i)) {
			continue
		}
		if at := time.Unix(t+s.UTCOffsetS, 0).UTC(); at.Hour() == 12 {
			noons[at.Month()] += s.StepS
		}
	}
	n := 0
	for _, seconds := range noons {
		if seconds >= halfAMonth {
			n++
		}
	}
	return n
}
