package main

import (
	"fmt"
	"path/filepath"
	"strings"

	"bloomgap/plots"
)

// chartWidthCm is the width of a chart, cm: across a page, own judgement.
const chartWidthCm = 17

// chartFormat is the format that a file's name asks for; "" for no file.
func chartFormat(path string) (string, error) {
	if path == "" {
		return "", nil
	}
	switch ext := strings.ToLower(filepath.Ext(path)); ext {
	case ".svg", ".png", ".pdf":
		return ext[1:], nil
	}
	return "", usageError{fmt.Errorf("--chart %q: name a file that ends in .svg, .png or .pdf", path)}
}

// weatherChart draws normals and springs.
func weatherChart(r *weatherReport, us bool) *plots.Chart {
	look := plots.DefaultLook()
	if us {
		look.Units = plots.US
	}
	return plots.WeatherChart(weatherOf(r), look)
}

func weatherOf(r *weatherReport) plots.Weather {
	w := plots.Weather{Place: r.sum.Name, Within: monthDay(r.sum.From) + " to " + monthDay(r.sum.To)}
	for _, m := range r.sum.Months {
		w.MeanC, w.MinC, w.MaxC = append(w.MeanC, m.TmeanC), append(w.MinC, m.TminC), append(w.MaxC, m.TmaxC)
	}
	for _, s := range r.whole() {
		w.Years, w.NonFlying = append(w.Years, s.Year), append(w.NonFlying, float64(s.NonFlying))
	}
	return w
}
