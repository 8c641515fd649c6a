package main

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"mastworth/api/document"
	"mastworth/openapi"
)

func balanceCommand(s streams) *cobra.Command {
	c := &cobra.Command{
		Use:   "balance MASS MASS ...",
		Short: "Put blades in the order around the hub that leaves the least imbalance",
		Long: "Masses are in g, as they come off the scales. With --centre, once for each blade, the radius of its centre of\n" +
			"gravity from the axis in m.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) < 2 {
				return usageError{fmt.Errorf("balance needs the masses of at least two blades, in g")}
			}
			return nil
		},
	}
	format := formatFlag(c, "table", "table", "json")
	centres := c.Flags().Float64Slice("centre", nil, "radius of a blade's centre of gravity, m; as many as there are masses")
	rpm := c.Flags().Float64("rpm", 300, "rotor speed for which the force is told, turns a minute")
	tip := c.Flags().Float64("tip-radius", 0, "where to take mass off, m from the axis, beside --centre; left out, at the centre of gravity")
	c.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{negativeMass(err)} })
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		in := openapi.BalanceInput{CentresM: *centres, RPM: rpm}
		if c.Flags().Changed("tip-radius") {
			in.TipRadiusM = tip
		}
		for _, a := range args {
			m, err := strconv.ParseFloat(strings.TrimSuffix(a, "g"), 64)
			if err != nil || math.IsNaN(m) || math.IsInf(m, 0) {
				return usageError{fmt.Errorf("%q is no mass in g, such as 201 or 201.5", a)}
			}
			in.MassesG = append(in.MassesG, m)
		}
		if faults := document.CheckBalance(&in); len(faults) > 0 {
			return usageError{errors.New(balanceFaults(faults, args))}
		}
		out, err := document.BalanceOf(in)
		if err != nil {
			return err
		}
		if format.value == "json" {
			return printAs(s.out, "json", out)
		}
		return printBalance(&printer{w: s.out}, &in, &out)
	}
	return c
}

// negativeMass explains why a mass below nothing is taken for a flag.
func negativeMass(err error) error {
	const unknown = "unknown shorthand flag: '"
	if rest, ok := strings.CutPrefix(err.Error(), unknown); ok && rest != "" && (rest[0] >= '0' && rest[0] <= '9' || rest[0] == '.') {
		_, text, _ := strings.Cut(rest, " in ")
		return fmt.Errorf("%q is below 0: a blade weighs more than nothing; give its mass in g, such as 201", text)
	}
	return err
}

// balanceFaults names the argument or the flag at fault.
func balanceFaults(faults []document.FieldError, args []string) string {
	lines := make([]string, len(faults))
	for i, f := range faults {
		name, index, _ := strings.Cut(f.Location, "[")
		n, err := strconv.Atoi(strings.TrimSuffix(index, "]"))
		each := err == nil && n < len(args)
		switch {
		case name == "masses_g" && each:
			lines[i] = fmt.Sprintf("the %s mass, %q: %s", ordinal(n+1), args[n], f.Detail)
		case name == "masses_g":
			lines[i] = "the masses: " + f.Detail
		case name == "centres_m" && each:
			lines[i] = fmt.Sprintf("the %s --centre: %s", ordinal(n+1), f.Detail)
		case name == "centres_m":
			lines[i] = "--centre: " + f.Detail
		case name == "tip_radius_m":
			lines[i] = "--tip-radius: " + f.Detail
		default:
			lines[i] = "--" + name + ": " + f.Detail
		}
	}
	return strings.Join(lines, "\n  ")
}

// printBalance tells the order first, then what it leaves and how to take that off.
func printBalance(p *printer, in *openapi.BalanceInput, b *openapi.Balance) error {
	words := make([]string, len(b.Order))
	for i, n := range b.Order {
		words[i] = fmt.Sprintf("%d (%g g)", n, in.MassesG[n-1])
	}
	p.line("Clockwise, seen from the wind")
	p.wrapped("  ", strings.Join(words, ", "))
	unit := "g·m"
	if !b.CentreKnown {
		unit = "g at the blades' centre of gravity"
	}
	p.line("")
	p.line("Imbalance left %s %s, as given %s %s", figure(b.ImbalanceGm, "%.3g"), unit, figure(b.AsGivenGm, "%.3g"), unit)
	if b.ForceN != nil {
		p.line("Force at %g rpm %s N, as given %s N", b.RPM, figure(b.ForceN, "%.3g"), figure(b.ForceAsGivenN, "%.3g"))
	}
	for _, l := range b.Lighten {
		mass, where := l.MassG, "its centre of gravity"
		switch {
		case in.TipRadiusM != nil && b.CentreKnown:
			where = fmt.Sprintf("%g m", *in.TipRadiusM)
		case l.RadiusM != nil && b.CentreKnown:
			where += fmt.Sprintf(", %g m out", *l.RadiusM)
		case !b.CentreKnown:
			mass = l.MomentGm // g at the centre, wherever that is
		}
		p.line("Take %s g off blade %d at %s", figure(mass, "%.3g"), l.Blade, where)
	}
	printCounter(p, in, b)
	for _, w := range b.Warnings {
		p.wrapped("  - ", w.Detail)
	}
	p.wrapped("  - ", "Balance on the hub as well, at rest and with the blades in their final coat; never stand in the plane of a turning rotor.")
	return p.err
}

func printCounter(p *printer, in *openapi.BalanceInput, b *openapi.Balance) {
	c := &b.Counter
	mass, where := c.MassG, "as far out as the blades' centres of gravity"
	switch {
	case !b.CentreKnown:
		mass = c.MomentGm
	case in.TipRadiusM != nil:
		where = fmt.Sprintf("at %g m", *in.TipRadiusM)
	case c.RadiusM != nil:
		where = fmt.Sprintf("at %.3g m, as far out as the centres of gravity are on average", *c.RadiusM)
	}
	if mass != nil && *mass > 0 {
		p.line("or add %s g %s, %s° clockwise from blade %d", figure(mass, "%.3g"), where, figure(c.AngleDeg, "%.0f"), b.Order[0])
	}
}

// figure writes a figure, or a dash where there is none.
func figure(v *float64, format string) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf(format, *v)
}
