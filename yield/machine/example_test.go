package machine_test

import (
	"fmt"
	"log"

	"mastworth/yield/drive"
	"mastworth/yield/machine"
	"mastworth/yield/rotor"
)

// Six plain boards of 2.2 m across, a motor geared up four times, and a 24 V battery.
func ExampleSolve() {
	gear, reading, err := drive.ParseGear("1:4")
	if err != nil {
		log.Fatal(err)
	}
	solved, err := machine.Solve(machine.Design{
		Rotor:     rotor.Board(2.2, 0.3, 6, 0.14, 0.14, 18),
		Generator: drive.Generator{ConstantVsPerRad: 0.5, ResistanceOhm: 0.8, IronTorqueNm: 0.05, CoggingNm: 0.1, RatedCurrentA: 15},
		Gear:      gear,
		Load:      drive.Battery{VoltsV: 26, DiodeDropV: 1.4},
		Wire:      drive.Wire{LengthM: 20, AreaMM2: 10, TemperatureC: drive.TableTemperatureC},
	}, 1.225)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(reading)
	fmt.Printf("charging begins at %.0f rpm of the rotor\n", solved.ChargingRPM)
	fmt.Printf("the boards cover %.0f %% of the disc and are %.1f times as long as wide\n", 100*solved.Solidity, solved.AspectRatio)
	// Output:
	// the rotor turns once for 4 turns of the generator: geared up, 4 generator turns a rotor turn
	// charging begins at 131 rpm of the rotor
	// the boards cover 21 % of the disc and are 6.8 times as long as wide
}
