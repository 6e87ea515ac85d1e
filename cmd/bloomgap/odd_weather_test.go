package main

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"bloomgap/forage/climate"
)

// dayOfRecord is a day as a record tells it.
type dayOfRecord struct {
	date         time.Time
	lowC, highC  float64
	rainMm       float64
	writtenTwice bool
	lost         bool
}

// madeRecord is a record of thirteen springs and of this season to 19 March 2027, made
// from the climate of Farnham.
func madeRecord() []dayOfRecord {
	var out []dayOfRecord
	last := time.Date(2027, time.March, 19, 0, 0, 0, 0, time.UTC)
	springs := climate.Generate(climate.NearestAt(45.3, -72.9, 68), 14, 3)
	for k, rec := range springs {
		for i, d := range rec.Days {
			// Generated years bear any number; here the last is the season's own.
			date := rec.Date(i).AddDate(2027-len(springs)+1+k-rec.Last().Year(), 0, 0)
			if date.After(last) || len(out) > 0 && !date.After(out[len(out)-1].date) {
				continue
			}
			out = append(out, dayOfRecord{date: date, lowC: d.TminC, highC: d.TmaxC, rainMm: max(0, d.PrecipMm)})
		}
	}
	return out
}

// recordText writes a record as a table.
func recordText(days []dayOfRecord, head string, line func(d dayOfRecord) string) string {
	var b strings.Builder
	b.WriteString(head + "\n")
	for _, d := range days {
		switch {
		case d.lost:
		default:
			b.WriteString(line(d) + "\n")
		}
		if d.writtenTwice {
			b.WriteString(line(d) + "\n")
		}
	}
	return b.String()
}

const plainHead = "date,tmin_c,tmax_c,precip_mm"

func plainDay(d dayOfRecord) string {
	return fmt.Sprintf("%s,%.1f,%.1f,%.1f", d.date.Format(time.DateOnly), d.lowC, d.highC, d.rainMm)
}

func inF(c float64) float64 { return c*9/5 + 32 }

// withRecord is the plain season with a record for its yard.
func withRecord(text string) map[string]string {
	files := plainSeason()
	files["s/yards.csv"] = "yard,lat,lon,elev_m,weather,next_visit,days_between\nMill,45.3,-72.9,68,w.csv,2027-03-23,10\n"
	files["s/w.csv"] = text
	return files
}

// oddWeather are records and forecasts as they come from services and stations.
func oddWeather(t *testing.T) []oddRun {
	t.Helper()
	days := madeRecord()
	plain := recordText(days, plainHead, plainDay)
	run := func(name string, f fate, text string) oddRun {
		return oddRun{name: name, fate: f, files: withRecord(text), args: planAsJSON(), likeFiles: withRecord(plain)}
	}
	changed := func(change func(i int, d *dayOfRecord)) string {
		own := append([]dayOfRecord(nil), days...)
		for i := range own {
			change(i, &own[i])
		}
		return recordText(own, plainHead, plainDay)
	}
	since := func(d *dayOfRecord) bool { return !d.date.Before(time.Date(2027, time.March, 1, 0, 0, 0, 0, time.UTC)) }
	by := func(head, layout string) string {
		return recordText(days, head, func(d dayOfRecord) string {
			return fmt.Sprintf("%s,%.1f,%.1f,%.1f", d.date.Format(layout), d.lowC, d.highC, d.rainMm)
		})
	}
	list := []oddRun{
		run("record with US dates", right, by(plainHead, "1/2/2006")),
		run("record with dates day first", right, by(plainHead, "02/01/2006")),
		run("record with dots", right, by(plainHead, "2.1.2006")),
		run("record with dots, month first", noted, by(plainHead, "1.2.2006")),
		run("record with dates run together", right, by(plainHead, "20060102")),
		run("record with years of two digits", right, by(plainHead, "1/2/06")),
		run("record with months in words", refused, by(plainHead, "2 January 2006")),
		run("record with short months", refused, by(plainHead, "02-Jan-06")),
		run("record without years", refused, by(plainHead, "2 January")),
		{name: "record of days day or month first only, in order of time", fate: noted, args: planAsJSON(),
			files: withRecord(recordText(only(days, firstTwelve), plainHead, func(d dayOfRecord) string {
				return fmt.Sprintf("%s,%.1f,%.1f,%.1f", d.date.Format("1/2/2006"), d.lowC, d.highC, d.rainMm)
			})), likeFiles: withRecord(recordText(only(days, firstTwelve), plainHead, plainDay))},
		run("record newest first", right, recordText(reversed(days), plainHead, plainDay)),
		run("record with semicolons and decimal commas", right, strings.ReplaceAll(strings.ReplaceAll(plain, ",", ";"), ".", ",")),
		run("record with tabs", right, strings.ReplaceAll(plain, ",", "\t")),
		run("record with a mark of byte order", right, "\ufeff"+plain),
		run("record with a title", right, "Station Mill\n\n"+plain),
		run("record with a totals row", refused, plain+"Total,,,812.5\n"),
		run("record with a mean row", refused, plain+"Mean,2.1,11.4,\n"),
		run("record with every day twice", refused, recordText(only(days, func(dayOfRecord) bool { return true }), plainHead, func(d dayOfRecord) string { return plainDay(d) + "\n" + plainDay(d) })),
		run("record with a day twice", noted, changed(func(i int, d *dayOfRecord) { d.writtenTwice = i == 500 })),
		run("record in F under F", right, recordText(days, "date,tmin_f,tmax_f,precip_mm", func(d dayOfRecord) string {
			return fmt.Sprintf("%s,%.2f,%.2f,%.1f", d.date.Format(time.DateOnly), inF(d.lowC), inF(d.highC), d.rainMm)
		})).unlike(),
		run("record in F under C", asked, changed(func(_ int, d *dayOfRecord) { d.lowC, d.highC = inF(d.lowC), inF(d.highC) })),
		run("record in F under headings without a unit", refused, strings.Replace(changed(func(_ int, d *dayOfRecord) { d.lowC, d.highC = inF(d.lowC), inF(d.highC) }), plainHead, "date,tmin,tmax,precip_mm", 1)),
		run("record in C under F", asked, strings.Replace(plain, plainHead, "date,tmin_f,tmax_f,precip_mm", 1)),
		run("record in tenths", asked, changed(func(_ int, d *dayOfRecord) { d.lowC, d.highC = 10*d.lowC, 10*d.highC })),
		run("record divided by ten", asked, changed(func(_ int, d *dayOfRecord) { d.lowC, d.highC = d.lowC/10, d.highC/10 })),
		run("record in K", refused, changed(func(_ int, d *dayOfRecord) { d.lowC, d.highC = d.lowC+273.15, d.highC+273.15 })),
		run("this season in F", asked, changed(func(_ int, d *dayOfRecord) {
			if since(d) {
				d.lowC, d.highC = inF(d.lowC), inF(d.highC)
			}
		})),
		run("this season's last five days in F", asked, changed(func(i int, d *dayOfRecord) {
			if i >= len(days)-5 {
				d.lowC, d.highC = inF(d.lowC), inF(d.highC)
			}
		})),
		run("low and high swapped", refused, strings.Replace(plain, plainHead, "date,tmax_c,tmin_c,precip_mm", 1)),
		run("low above high on one day", noted, changed(func(i int, d *dayOfRecord) {
			if i == 500 {
				d.lowC, d.highC = d.highC, d.lowC
			}
		})).unlike(),
		run("one day of 99", noted, changed(func(i int, d *dayOfRecord) {
			if i == 500 {
				d.highC = 99
			}
		})).unlike(),
		run("signs lost", asked, changed(func(_ int, d *dayOfRecord) {
			d.lowC, d.highC = max(d.lowC, -d.lowC), max(d.highC, -d.highC)
		})),
		run("the same day for a month", asked, changed(func(i int, d *dayOfRecord) {
			if i > 1000 && i < 1030 {
				d.lowC, d.highC = 1, 9
			}
		})),
		run("zeros for what is missing", asked, changed(func(i int, d *dayOfRecord) {
			if i > 1000 && i < 1030 {
				d.lowC, d.highC = 0, 0
			}
		})),
		run("-9999 for what is missing", right, strings.ReplaceAll(changed(func(i int, d *dayOfRecord) {
			if i == 500 {
				d.lowC = -9999
			}
		}), "-9999.0", "-9999")).unlike(),
		run("-99 for what is missing", noted, changed(func(i int, d *dayOfRecord) {
			if i == 500 {
				d.lowC = -99
			}
		})).unlike(),
		run("gaps of a month each spring", noted, changed(func(_ int, d *dayOfRecord) { d.lost = d.date.Month() == time.April })).unlike(),
		run("a gap of two days", right, changed(func(i int, d *dayOfRecord) { d.lost = i == 500 || i == 501 })).unlike(),
		run("monthly means for days", noted, recordText(only(days, func(d dayOfRecord) bool { return d.date.Day() == 1 }), plainHead, plainDay)).unlike(),
		run("hourly figures", refused, recordText(days[len(days)-40:], "time,temp_c", func(d dayOfRecord) string {
			var b strings.Builder
			for h := range 24 {
				fmt.Fprintf(&b, "%s %02d:00,%.1f\n", d.date.Format(time.DateOnly), h, d.lowC+(d.highC-d.lowC)*float64(h)/23)
			}
			return strings.TrimSpace(b.String())
		})).unlike(),
		run("only the highest", refused, recordText(days, "date,tmax_c", func(d dayOfRecord) string { return fmt.Sprintf("%s,%.1f", d.date.Format(time.DateOnly), d.highC) })),
		run("only the mean", refused, recordText(days, "date,tmean_c", func(d dayOfRecord) string {
			return fmt.Sprintf("%s,%.1f", d.date.Format(time.DateOnly), (d.lowC+d.highC)/2)
		})),
		run("headings that are not known", refused, strings.Replace(plain, plainHead, "a,b,c,d", 1)),
		run("no headings", refused, strings.TrimPrefix(plain, plainHead+"\n")),
		run("headings only", refused, plainHead+"\n"),
		run("an empty record", refused, ""),
		run("temperature of the hive", refused, strings.Replace(plain, plainHead, "date,hive_tmin_c,hive_tmax_c,precip_mm", 1)),
		run("rain in inches under mm", noted, changed(func(_ int, d *dayOfRecord) { d.rainMm /= 25.4 })).unlike(),
		run("rain as a trace", right, strings.Replace(plain, ",0.0\n", ",T\n", 1)),
		run("record that ends in 2016", noted, recordText(only(days, func(d dayOfRecord) bool { return d.date.Year() < 2025 }), plainHead, plainDay)).unlike(),
		run("record of one spring", noted, recordText(only(days, func(d dayOfRecord) bool {
			return d.date.After(time.Date(2025, time.September, 30, 0, 0, 0, 0, time.UTC))
		}), plainHead, plainDay)).unlike(),
		run("record half a year off", refused, changed(func(_ int, d *dayOfRecord) { d.date = d.date.AddDate(0, 6, 0) })),
		run("record a month off", asked, changed(func(_ int, d *dayOfRecord) {
			if d.date.Year() == 2026 && d.date.Month() <= time.June {
				d.lowC, d.highC = d.lowC+20, d.highC+20
			}
		})),
		run("record of days to come", noted, changed(func(_ int, d *dayOfRecord) { d.date = d.date.AddDate(1, 0, 0) })).unlike(),
		run("record with a degree sign", right, strings.Replace(plain, plainHead, "Date,Min Temp (°C),Max Temp (°C),Total Precip (mm)", 1)),
		run("a figure with its unit", noted, strings.Replace(plain, ",0.0\n", "mm,0.0 mm\n", 1)).unlike(),
		run("record that is a plan of colonies", refused, plainSeason()["s/colonies.csv"]),
		run("record that is a page of the web", refused, "<!DOCTYPE html>\n<html><body>Sign in</body></html>\n"),
	}
	return append(list, oddForecasts(plain, days)...)
}

// firstTwelve keeps days that may be months as well.
func firstTwelve(d dayOfRecord) bool { return d.date.Day() <= 12 }

func only(days []dayOfRecord, keep func(dayOfRecord) bool) []dayOfRecord {
	var out []dayOfRecord
	for _, d := range days {
		if keep(d) {
			out = append(out, d)
		}
	}
	return out
}

func reversed(days []dayOfRecord) []dayOfRecord {
	var out []dayOfRecord
	for i := len(days) - 1; i >= 0; i-- {
		out = append(out, days[i])
	}
	return out
}

// oddForecasts are forecasts beside the record.
func oddForecasts(plain string, days []dayOfRecord) []oddRun {
	last := days[len(days)-1]
	week := func(from time.Time, lowC, highC float64) string {
		var b strings.Builder
		b.WriteString(plainHead + "\n")
		for i := range 7 {
			b.WriteString(plainDay(dayOfRecord{date: from.AddDate(0, 0, i), lowC: lowC + float64(i%3), highC: highC + float64(i%4)}) + "\n")
		}
		return b.String()
	}
	from := last.date.AddDate(0, 0, 1)
	run := func(name string, f fate, forecast string) oddRun {
		files, like := withRecord(plain), withRecord(plain)
		yards := "yard,lat,lon,elev_m,weather,forecast,next_visit,days_between\nMill,45.3,-72.9,68,w.csv,f.csv,2027-03-23,10\n"
		files["s/yards.csv"], like["s/yards.csv"] = yards, yards
		files["s/f.csv"], like["s/f.csv"] = forecast, week(from, -4, 4)
		return oddRun{name: name, fate: f, files: files, args: planAsJSON(), likeFiles: like}
	}
	return []oddRun{
		run("forecast in C", right, week(from, -4, 4)),
		run("forecast in F under C", asked, week(from, 25, 39)),
		run("forecast in F under F", right, strings.Replace(week(from, 24.8, 39.2), plainHead, "date,tmin_f,tmax_f,precip_mm", 1)).unlike(),
		run("forecast of last year", noted, week(from.AddDate(-1, 0, 0), -4, 4)).unlike(),
		run("forecast of last week", noted, week(from.AddDate(0, 0, -10), -4, 4)).unlike(),
		run("forecast of next year", noted, week(from.AddDate(1, 0, 0), -4, 4)).unlike(),
		run("forecast of May", noted, week(from.AddDate(0, 2, 0), 5, 16)).unlike(),
		run("forecast that is not there", refused, "\n"),
		run("forecast in words", refused, "Mon: cold, Tue: milder\n"),
	}
}
