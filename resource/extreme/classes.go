package extreme

// Class is a class of small wind turbines of IEC 61400-2: what the machine's maker says it was built for.
type Class struct {
	Name      string  // "I", "II", "III" or "IV"
	AverageMS float64 // yearly mean at the hub, m/s
	ReferMS   float64 // reference speed, the 50-year mean of 10 minutes at the hub, m/s: 5 times the average
	GustMS    float64 // 50-year gust of 3 s at the hub, m/s: 1.4 times the reference speed
}

// Classes are the classes of IEC 61400-2, the strongest first; averages and gusts as in its table, the reference speeds from
// memory. Beyond class I the standard has class S, whose numbers the maker states.
func Classes() []Class {
	return []Class{{"I", 10, 50, 70}, {"II", 8.5, 42.5, 59.5}, {"III", 7.5, 37.5, 52.5}, {"IV", 6, 30, 42}}
}

// ClassFor is the weakest class whose 50-year gust at the hub covers one of gustMS, m/s; ok is false where not even that of
// class I does, and for NaN. As a class's gust is 7 times its yearly mean, 7 times the site's mean asks for both.
func ClassFor(gustMS float64) (c Class, ok bool) {
	all := Classes()
	for i := len(all) - 1; i >= 0; i-- {
		if gustMS <= all[i].GustMS {
			return all[i], true
		}
	}
	return Class{}, false
}
