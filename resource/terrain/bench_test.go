package terrain

import "testing"

// site36 is 36 sectors of unlike ground, each with a change, their borders inside the directions.
func site36() Grounds {
	g := Grounds{Everywhere: grass}
	for i := range DirectionCount {
		ground := town
		ground.RoughnessM += float64(i) / 100
		g.Patches = append(g.Patches, Patch{FromDeg: float64(10 * i), ToDeg: float64(10*i + 10), Ground: ground, ChangeAtM: 100 + float64(50*i)})
	}
	return g
}

var eightHeights = [...]float64{9, 12, 15, 18, 21, 24, 30, 36}

// BenchmarkTransferSite is what one estimate needs: 36 sectors with a change, eight hubs, from an airport.
func BenchmarkTransferSite(b *testing.B) {
	airport, site := Grounds{Everywhere: grass}, site36()
	b.Run("each", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, z := range eightHeights {
				if _, err := Transfer(airport, site, 10, z); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("prepared", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			from, err := Prepare(airport)
			if err != nil {
				b.Fatal(err)
			}
			to, err := Prepare(site)
			if err != nil {
				b.Fatal(err)
			}
			for _, z := range eightHeights {
				if _, err := to.TransferFrom(from, 10, z); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
	b.Run("both changing", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			for _, z := range eightHeights {
				if _, err := Transfer(site, site, 10, z); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}

func BenchmarkReliefFactors(b *testing.B) {
	rs := []Relief{{Ridge, 30, 150, 240, 300}, {Ridge, 30, 150, 60, 120}}
	b.ReportAllocs()
	for b.Loop() {
		if _, err := ReliefFactors(rs, 18); err != nil {
			b.Fatal(err)
		}
	}
}
