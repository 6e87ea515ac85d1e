package plots_test

import (
	"bytes"
	"fmt"
	"time"

	"bloomgap/feed/plan"
	"bloomgap/plots"
)

// Stores that fall by 0.1 kg a day pass a reserve of 5 kg after 15 days.
func ExampleStoresChart() {
	d := plan.Detail{Yard: "North", Colony: "B7", ReserveKg: 5}
	for i := range 40 {
		d.Dates = append(d.Dates, time.Date(2026, time.March, 30+i, 0, 0, 0, 0, time.UTC))
		d.StoresAlone.P50 = append(d.StoresAlone.P50, 6.45-0.1*float64(i))
	}
	look := plots.DefaultLook()
	look.Source = "Invented example."
	chart := plots.StoresChart(d, look)

	var svg bytes.Buffer
	if err := chart.Write(&svg, "svg", 11, 0); err != nil {
		fmt.Println(err)
	}
	fmt.Println(chart.Desc())
	fmt.Println(bytes.HasPrefix(svg.Bytes(), []byte("<svg ")))
	// Output:
	// Colony B7, yard North: stores by date before nectar. Middle stores left alone on 30 March: 6.5 kg. Left alone on 8 May: 2.5 kg. Reserve: 5 kg.
	// true
}
