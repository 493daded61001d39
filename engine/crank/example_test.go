package crank_test

import (
	"fmt"
	"log"
	"math"

	"portwright/engine/crank"
	"portwright/engine/unit"
)

// A piston 2.0 mm below TDC, stroke 60, rod 120: 18.8 degrees before it.
//
// Source: A. Graham Bell, as quoted on a workshop forum.
func ExampleMechanism_Angles() {
	m, err := crank.New(60, 120, 0)
	if err != nil {
		log.Fatal(err)
	}
	_, up, err := m.Angles(2.0)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("%.1f degrees before TDC\n", 360-unit.Deg(up))
	// Output: 18.8 degrees before TDC
}

// A bicycle engine of 48 cc, stroke 38, rod 85, crown 0.8 mm below the top at
// TDC: roofs at 28.0 and 32.0 mm give durations of 141 and 111 degrees.
//
// Source: workshop article on a 48 cc bicycle engine, 2013.
func ExampleMechanism_TravelAtDepth() {
	m, err := crank.New(38, 85, 0)
	if err != nil {
		log.Fatal(err)
	}
	for _, roof := range []float64{28, 32} {
		x, err := m.TravelAtDepth(roof, 0.8)
		if err != nil {
			log.Fatal(err)
		}
		down, up, err := m.Angles(x)
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%.0f\n", unit.Deg(up-down))
	}
	// Output:
	// 141
	// 111
}

// A rod that is not known, from depths read at five places of the wheel, the
// crown's depth at TDC learnt along with it. The readings are made up: rod 60,
// crown 0.3 mm down, rounded to 0.01 mm. One pair can't tell the two apart.
func ExampleFit() {
	read := func(depth, deg float64) crank.Pair {
		return crank.Pair{Depth: depth, Angle: unit.Rad(deg), UDepth: 0.02, UAngle: unit.Rad(0.1)}
	}
	r, err := crank.Fit(crank.Setup{
		Stroke: crank.Quantity{Value: 34, U: 0.02},
		Rod:    crank.Quantity{Free: true},
		Deck:   crank.Quantity{Free: true},
		Pairs:  []crank.Pair{read(3.18, 30), read(10.63, 60), read(19.76, 90), read(27.63, 120), read(32.63, 150)},
	})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(r.Status)
	fmt.Printf("rod %.0f mm, 60 within its doubt: %v\n", r.Value[crank.Rod], math.Abs(r.Value[crank.Rod]-60) < 2*r.U[crank.Rod])

	r, err = crank.Fit(crank.Setup{
		Stroke: crank.Quantity{Value: 34},
		Rod:    crank.Quantity{Free: true},
		Deck:   crank.Quantity{Free: true},
		Pairs:  []crank.Pair{read(19.76, 90)},
	})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(r.Status, "from one pair:", r.Unclear)
	// Output:
	// converged
	// rod 60 mm, 60 within its doubt: true
	// not determined from one pair: [rod length crown below deck]
}
