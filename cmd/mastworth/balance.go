package main

import (
	"fmt"
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
	tip := c.Flags().Float64("tip-radius", 0, "where to take mass off, m from the axis; 0: at the centre of gravity")
	c.RunE = func(_ *cobra.Command, args []string) error {
		if err := format.check(); err != nil {
			return err
		}
		in := openapi.BalanceInput{CentresM: *centres, RPM: rpm}
		if *tip != 0 {
			in.TipRadiusM = tip
		}
		for _, a := range args {
			m, err := strconv.ParseFloat(strings.TrimSuffix(a, "g"), 64)
			if err != nil {
				return usageError{fmt.Errorf("%q is no mass in g, such as 201 or 201.5", a)}
			}
			in.MassesG = append(in.MassesG, m)
		}
		// The document's own checks are the command's.
		text, err := document.EncodeJSON(in)
		if err != nil {
			return err
		}
		if in, err = document.DecodeBalance(text, document.JSON); err != nil {
			return err
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
		where := "its centre of gravity"
		if l.RadiusM != nil {
			where = fmt.Sprintf("%g m", *l.RadiusM)
		}
		p.line("Take %s g off blade %d at %s", figure(l.MassG, "%.3g"), l.Blade, where)
	}
	if b.Counter.MassG != nil && *b.Counter.MassG > 0 {
		p.line("or add %s g at that radius, %s° clockwise from blade %d", figure(b.Counter.MassG, "%.3g"), figure(b.Counter.AngleDeg, "%.0f"), b.Order[0])
	}
	for _, w := range b.Warnings {
		p.wrapped("  - ", w.Detail)
	}
	p.wrapped("  - ", "Balance on the hub as well, at rest and with the blades in their final coat; never stand in the plane of a turning rotor.")
	return p.err
}

// figure writes a figure, or a dash where there is none.
func figure(v *float64, format string) string {
	if v == nil {
		return "-"
	}
	return fmt.Sprintf(format, *v)
}
