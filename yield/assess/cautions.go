package assess

// cautions are said with every estimate. The sizes in them are common practice; local rules and licensed people decide.
var cautions = []Caution{
	{"not_structural", "This is an estimate of energy and money, not a structural check. Have tower, footing and guys " +
		"designed or checked by a licensed engineer."},
	{"fall_zone", "Masts fall. Keep buildings, paths, roads, power lines and your neighbour's ground outside at least 1.1 to " +
		"1.5 times the height of the blade tip; your local rules may ask for more."},
	{"guys", "A guy that fails is a tower that falls. Inspect tension, anchors and corrosion, and mark guys so that people see them."},
	{"overhead_lines", "Never raise or lower a tower where any part of it could touch an overhead line."},
	{"lightning", "Earth the tower and each guy to one bonded electrode system, and fit surge arresters, as your electrical code asks."},
	{"overspeed", "A rotor that loses its load runs away. A battery, resistor or brake must always be connected; stop the " +
		"rotor and furl it before any work, and never stand under it in wind."},
	{"shock_fire", "Batteries and rectified wind power can kill and burn. Fuse at the battery and leave mains connection to a " +
		"licensed electrician with your utility's consent."},
	{"permits", "Ask about permits, height limits, covenants and aviation rules before spending, and talk to your neighbours."},
}

// Cautions returns the texts said with every estimate.
func Cautions() []Caution { return append([]Caution(nil), cautions...) }
