package stat_test

import (
	"fmt"
	"log"

	"portwright/engine/stat"
)

// The calibration of an end gauge: combined uncertainty 32 nm, expanded 93 nm
// at 99 %. (The guide prints 16.7 degrees of freedom; with its own terms they
// are 16.8, 16 after truncation either way.)
//
// Source: JCGM 100:2008, annex H.1.
func ExampleCombine() {
	u, df, err := stat.Combine(
		stat.Component{Name: "standard", U: 25, DF: 18, C: 1},
		stat.Component{Name: "comparator", U: 9.7, DF: 25.6, C: 1},
		stat.Component{Name: "expansion", U: 2.9, DF: 50, C: 1},
		stat.Component{Name: "temperatures", U: 16.6, DF: 2, C: 1},
	)
	if err != nil {
		log.Fatal(err)
	}
	U, k, err := stat.Expanded(0.99, u, df)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("u_c %.0f nm, nu %.1f, k %.2f, U %.0f nm\n", u, df, k, U)
	// Output: u_c 32 nm, nu 16.8, k 2.92, U 93 nm
}

// Assembly times by an old and a new method.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.3.1.
func ExampleWelch() {
	c, err := stat.Welch(
		[]float64{32, 37, 35, 28, 41, 44, 35, 31, 34, 38, 42},
		[]float64{36, 31, 30, 31, 34, 36, 29, 32, 31},
	)
	if err != nil {
		log.Fatal(err)
	}
	fmt.Printf("t %.4f with %.1f degrees of freedom\n", c.T, c.DF)
	// Output: t 2.2694 with 15.5 degrees of freedom
}

// The wheel's zero is in opening and closing alike: it goes from the duration.
func ExampleEstimate_Minus() {
	zero := stat.Component{Name: "zero", U: 0.5, C: -1}
	opens := stat.Estimate{Value: 102.5, Parts: []stat.Component{{Name: "opens", U: 0.2, C: 1}, zero}}
	closes := stat.Estimate{Value: 257.5, Parts: []stat.Component{{Name: "closes", U: 0.2, C: 1}, zero}}
	for _, e := range []stat.Estimate{opens, closes.Minus(opens), opens.Times(-2).Shift(360)} {
		u, _, err := e.U()
		if err != nil {
			log.Fatal(err)
		}
		fmt.Printf("%.1f, u %.2f\n", e.Value, u)
	}
	// Output:
	// 102.5, u 0.54
	// 155.0, u 0.28
	// 155.0, u 1.08
}
