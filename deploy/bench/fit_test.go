package bench

import (
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"mastworth/resource"
)

// A speed of 0 has no likelihood in a Weibull distribution, so that none of the invented ones is.
func speedsOf(n int) []float64 {
	r := rand.New(rand.NewPCG(1, 2))
	w := resource.Weibull{Shape: 2, Scale: 6}
	speeds := make([]float64, n)
	for i := range speeds {
		speeds[i] = w.Quantile(0.5e-9 + r.Float64()*(1-1e-9))
	}
	return speeds
}

// BenchmarkFit is the fit by maximum likelihood of speeds that are all different, on one core, against the same by other programs,
// where they are installed; theirs has to find the same.
func BenchmarkFit(b *testing.B) {
	for _, other := range []struct {
		name, script string
		programs     []string // that may run it, the first that can does
		needs        []string // arguments that succeed where all it needs is installed
	}{
		{"scipy", "fit.py", []string{"python3", "/usr/bin/python3"}, []string{"-c", "import scipy"}},
		{"r", "fit.R", []string{"Rscript"}, []string{"-e", "library(MASS)"}},
	} {
		b.Run(other.name, func(b *testing.B) {
			program := ""
			for _, p := range other.programs {
				if program == "" && exec.CommandContext(b.Context(), p, other.needs...).Run() == nil {
					program = p
				}
			}
			if program == "" {
				b.Skip("not installed")
			}
			speeds := speedsOf(1_000_000)
			path := filepath.Join(b.TempDir(), "speeds")
			data, err := binary.Append(nil, binary.LittleEndian, speeds)
			if err != nil {
				b.Fatal(err)
			}
			if err := os.WriteFile(path, data, 0o600); err != nil {
				b.Fatal(err)
			}
			defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
			ours, theirs := math.Inf(1), math.Inf(1)
			for b.Loop() {
				began := time.Now()
				fit, err := resource.FitSpeeds(speeds, resource.MaximumLikelihood)
				if err != nil {
					b.Fatal(err)
				}
				ours = min(ours, time.Since(began).Seconds())
				var took, shape, scale float64
				out, err := exec.CommandContext(b.Context(), program, other.script, path).Output()
				if _, scanned := fmt.Sscan(string(out), &took, &shape, &scale); err != nil || scanned != nil {
					b.Fatalf("%s: %v, %v", out, err, scanned)
				}
				theirs = min(theirs, took)
				if math.Abs(shape/fit.Shape-1) > 1e-3 || math.Abs(scale/fit.Scale-1) > 1e-3 {
					b.Errorf("ours finds %g and %g, the other %g and %g", fit.Shape, fit.Scale, shape, scale)
				}
			}
			b.ReportMetric(theirs/ours, "x_as_fast")
		})
	}
}
