package fetch

import (
	"context"
	"errors"
	"fmt"
	"net/url"
	"strings"
	"time"
)

// Sources are the addresses of the services. An empty one is the public one of DefaultSources.
type Sources struct {
	NASAPower       string // hourly answers for a point
	NASAPowerMonths string // means of each month over many years for a point
	OpenMeteo       string // the archive of past weather
	StationList     string // NOAA's list of stations, a CSV file
	ISDLite         string // folder of NOAA's hourly extract, a folder a year in it
	ISDHourly       string // folder of NOAA's hourly archive as CSV, a folder a year in it
	GHCNHourly      string // folder of NOAA's global hourly climatology, a folder a year in it
	AirportReports  string // archive of airport reports
}

// DefaultSources are the public services.
func DefaultSources() Sources {
	return Sources{
		NASAPower:       "https://power.larc.nasa.gov/api/temporal/hourly/point",
		NASAPowerMonths: "https://power.larc.nasa.gov/api/temporal/climatology/point",
		OpenMeteo:       "https://archive-api.open-meteo.com/v1/archive",
		StationList:     "https://www.ncei.noaa.gov/pub/data/noaa/isd-history.csv",
		ISDLite:         "https://www.ncei.noaa.gov/pub/data/noaa/isd-lite",
		ISDHourly:       "https://www.ncei.noaa.gov/data/global-hourly/access",
		GHCNHourly:      "https://www.ncei.noaa.gov/oa/global-historical-climatology-network/hourly/access/by-year",
		AirportReports:  "https://mesonet.agron.iastate.edu/cgi-bin/request/asos.py",
	}
}

// MirrorSources are all the services under one address, each under the name of its Archive; the station list is
// "stations.csv" there, and the means of each month are "nasa_power_months". It serves mirrors, and tests that must not call out.
func MirrorSources(base string) Sources {
	base = strings.TrimRight(base, "/") + "/"
	return Sources{
		NASAPower: base + string(NASAPower), NASAPowerMonths: base + "nasa_power_months", OpenMeteo: base + string(OpenMeteo), StationList: base + "stations.csv",
		ISDLite: base + string(ISDLite), ISDHourly: base + string(ISDHourly), GHCNHourly: base + string(GHCNHourly),
		AirportReports: base + string(AirportReports),
	}
}

// Timeouts bound the time one attempt may take. Zero: the default in brackets.
type Timeouts struct {
	Connect time.Duration // to a connection, TLS included [15 s]
	Answer  time.Duration // from the request to the answer's head [90 s: a year takes the services a while]
	Idle    time.Duration // without a single byte [30 s]
	Whole   time.Duration // for all of it [4 min]
}

// Options are the settings of a Client. The zero value asks the public services and keeps nothing.
type Options struct {
	Sources      Sources
	Cache        Cache         // where answers are kept; nil: nowhere
	Offline      bool          // ask the cache alone, whatever the age of what it has
	UserAgent    string        // empty: "mastworth"
	Timeouts     Timeouts      //
	MaxBytes     int64         // of one answer, packed or unpacked; 0: 64 MiB
	RatePerHost  float64       // requests a second to one host, at most; 0: 1
	Retries      int           // further attempts after a failed one; 0: 3, negative: none
	MaxWait      time.Duration // the longest wait before another attempt, also when Retry-After asks for more; 0: 2 min
	MaxStationKM float64       // how far a station may be; 0: 150 km
	Seed         uint64        // of the jitter in the waits
	MonthlySun   bool          // ask for the mean sun of each month too, where a record has no irradiance to estimate from

	// AllowPrivate lets the hosts of Sources, and them alone, be at an address that is not public: a mirror in one's own
	// network, a test's stub. A redirect from there to another private address is refused all the same.
	AllowPrivate bool

	Now      func() time.Time                                 // nil: time.Now
	Sleep    func(ctx context.Context, d time.Duration) error // nil: a timer; returns early with the context's error
	Progress func(Progress)                                   // told of each year and of each wait; may be nil
}

// Progress says how far a fetch has come.
type Progress struct {
	Archive   Archive
	Year      int
	Done      int           // years that are here
	Total     int           // years asked for
	Bytes     int64         // of the answers so far, unpacked
	FromCache bool          // the year came from the cache
	Waiting   time.Duration // before another attempt at the year; 0: not waiting
	Reason    string        // why it waits
}

const (
	defaultMaxBytes     = 64 << 20
	defaultRetries      = 3
	defaultMaxWait      = 2 * time.Minute
	defaultMaxStationKM = 150
)

// settle puts defaults in and finds what is wrong.
func (o *Options) settle() error {
	d := DefaultSources()
	var errs []error
	for _, s := range []struct {
		name        string
		set, public *string
	}{
		{"nasa_power", &o.Sources.NASAPower, &d.NASAPower}, {"open_meteo", &o.Sources.OpenMeteo, &d.OpenMeteo},
		{"nasa_power_months", &o.Sources.NASAPowerMonths, &d.NASAPowerMonths},
		{"stations", &o.Sources.StationList, &d.StationList}, {"isd_lite", &o.Sources.ISDLite, &d.ISDLite},
		{"isd", &o.Sources.ISDHourly, &d.ISDHourly}, {"ghcn_hourly", &o.Sources.GHCNHourly, &d.GHCNHourly},
		{"airport_reports", &o.Sources.AirportReports, &d.AirportReports},
	} {
		if *s.set == "" {
			*s.set = *s.public
		}
		if reason := badBase(*s.set); reason != "" {
			errs = append(errs, fmt.Errorf("the address of %s, %q, %s", s.name, *s.set, reason))
		}
	}
	orDuration(&o.Timeouts.Connect, 15*time.Second)
	orDuration(&o.Timeouts.Answer, 90*time.Second)
	orDuration(&o.Timeouts.Idle, 30*time.Second)
	orDuration(&o.Timeouts.Whole, 4*time.Minute)
	orDuration(&o.MaxWait, defaultMaxWait)
	if o.UserAgent == "" {
		o.UserAgent = "mastworth"
	}
	if o.MaxBytes == 0 {
		o.MaxBytes = defaultMaxBytes
	}
	if o.RatePerHost == 0 {
		o.RatePerHost = 1
	}
	if o.MaxStationKM == 0 {
		o.MaxStationKM = defaultMaxStationKM
	}
	switch {
	case o.Retries == 0:
		o.Retries = defaultRetries
	case o.Retries < 0:
		o.Retries = 0
	}
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Sleep == nil {
		o.Sleep = sleep
	}
	t := o.Timeouts
	if o.MaxBytes < 0 || !(o.RatePerHost > 0) || !(o.MaxStationKM > 0) || t.Connect < 0 || t.Answer < 0 || t.Idle < 0 || t.Whole < 0 || o.MaxWait < 0 {
		errs = append(errs, errors.New("limits of time, size, rate and distance must be positive"))
	}
	if strings.ContainsAny(o.UserAgent, "\r\n") {
		errs = append(errs, errors.New("a user agent is one line"))
	}
	return errors.Join(errs...)
}

func orDuration(d *time.Duration, otherwise time.Duration) {
	if *d == 0 {
		*d = otherwise
	}
}

// badBase says what is wrong with a service's address; empty: nothing.
func badBase(s string) string {
	u, err := url.Parse(s)
	switch {
	case err != nil:
		return "cannot be read"
	case u.Scheme != "http" && u.Scheme != "https":
		return "must begin with https:// or http://"
	case u.Hostname() == "":
		return "names no host"
	case u.User != nil || u.RawQuery != "" || u.Fragment != "":
		return "must be without user, query and fragment"
	}
	return ""
}

func sleep(ctx context.Context, d time.Duration) error {
	t := time.NewTimer(d)
	defer t.Stop()
	select {
	case <-t.C:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}
