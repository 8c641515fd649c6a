package document

import (
	"mastworth/openapi"
	"mastworth/resource/extreme"
	"mastworth/resource/longterm"
	"mastworth/yield/assess"
)

func fromLongTerm(r *longterm.Result, q *assess.Request, n *memory) *openapi.LongTerm {
	if r == nil {
		return nil
	}
	out := openapi.LongTerm{
		Method: openapi.LongTermMethod(r.Method), Reference: q.Wind.LongTerm.Reference.Ref, ReferenceChannel: r.ReferenceChannel,
		ConcurrentFrom: Time(r.ConcurrentFromUnix), ConcurrentTo: Time(r.ConcurrentToUnix), Pairs: int64(r.ConcurrentN),
		AverageS: r.AverageS, ShiftS: r.ShiftS, R: n.figure(r.R), R2: n.figure(r.R2),
		TargetMeanMS: n.figure(r.Concurrent.TargetMeanMS), PredictedMeanMS: n.figure(r.LongTerm.PredictedMeanMS),
		ReferenceConcurrentMeanMS: n.figure(r.Concurrent.ReferenceMeanMS), ReferenceMeanMS: n.figure(r.LongTerm.ReferenceMeanMS),
		Windiness:      n.figure(r.Concurrent.ReferenceMeanMS / r.LongTerm.ReferenceMeanMS),
		LeaveOutMonths: r.LeaveOut.Months, LeaveOutMeanError: n.figure(r.LeaveOut.MeanErrorRMS), LeaveOutCubeError: n.figure(r.LeaveOut.CubeErrorRMS),
		StandardUncertainty: n.figure(r.StandardUncertainty), Fits: make([]openapi.LongTermFit, len(r.Fits)),
	}
	for i, f := range r.Fits {
		out.Fits[i] = openapi.LongTermFit{N: int64(f.N), Slope: n.figure(f.Slope), InterceptMS: n.figure(f.Intercept), R: n.figure(f.R)}
		if f.Sector >= 0 {
			sector := f.Sector
			out.Fits[i].Sector = &sector
		}
	}
	return &out
}

func fromExtreme(e *extreme.Extreme, n *memory) *openapi.ExtremeWind {
	if e == nil {
		return nil
	}
	out := openapi.ExtremeWind{
		HeightM: n.figure(e.HeightM), Basis: e.Basis, Maxima: int64(e.Maxima), Years: n.figure(e.Years), GustFactor: n.figure(e.GustFactor),
		Gust50YearMS: n.figure(e.Gust50MS), Gust50YearHighMS: n.figure(e.Gust50HighMS), RuleGustMS: n.figure(e.RuleGustMS),
		Class: e.Class, ClassGustMS: n.figure(e.ClassGustMS), Caution: e.Caution,
		Estimates: make([]openapi.GumbelEstimate, len(e.Estimates)),
	}
	for i, g := range e.Estimates {
		out.Estimates[i] = openapi.GumbelEstimate{Estimator: openapi.GumbelEstimateEstimator(g.Estimator), ModeMS: n.figure(g.ModeMS),
			ScaleMS: n.figure(g.ScaleMS), Speed50YearMS: n.figure(g.Speed50MS), LowMS: n.figure(g.LowMS), HighMS: n.figure(g.HighMS)}
	}
	return &out
}
