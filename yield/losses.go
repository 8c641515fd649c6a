package yield

// Losses are the shares of energy lost on the way from the terminals to the meter, each of what reaches it.
type Losses struct {
	Availability float64 // the machine stands still, for repair or by choice
	Wiring       float64 // in the cable
	Conversion   float64 // in controller and inverter
	Other        float64 // dirt, ice, turbulence
}

// Step is one link of the loss chain.
type Step struct {
	Name  string
	Share float64 // of what reaches it
	KWh   float64 // lost in it, a year
}

// Apply takes the losses off a gross energy in kWh, in their order, and tells what each took.
func (l Losses) Apply(grossKWh float64) (netKWh float64, steps [4]Step) {
	steps = [...]Step{
		{Name: "availability", Share: l.Availability},
		{Name: "wiring", Share: l.Wiring},
		{Name: "conversion", Share: l.Conversion},
		{Name: "other", Share: l.Other},
	}
	netKWh = grossKWh
	for i := range steps {
		steps[i].KWh = netKWh * steps[i].Share
		netKWh -= steps[i].KWh
	}
	return netKWh, steps
}
