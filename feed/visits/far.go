package visits

import (
	"fmt"
	"math"
	"slices"
	"time"

	"bloomgap/feed/season"
	"bloomgap/forage"
	"bloomgap/forage/climate"
	"bloomgap/forage/read"
	"bloomgap/forage/weather"
)

// From how far on springs of another place are told of (own judgement). Measured by
// TestWhatDistanceMeans: the means of March to May differ by 0.5 C between open
// records 75 km apart, by 0.9 and 1.6 C some 400 km apart and by 3.0 C 920 km apart;
// 300 m of height are 2 C by the standard atmosphere; and 2 C are 5.5 days of
// dandelion. 150 km is less than that on level ground, and room for lakes and
// valleys. Past 1,000 km it is another climate.
const (
	farKm     = 150.0
	farM      = 300.0
	strangeKm = 1000.0
	earthKm   = 6371.0 // mean radius (International Union of Geodesy and Geophysics)
)

// awayKm is the distance of two places on the globe, degrees north and east; NaN
// when one is not known.
func awayKm(latA, lonA, latB, lonB float64) float64 {
	const rad = math.Pi / 180
	dLat, dLon := (latB-latA)*rad, (lonB-lonA)*rad
	h := math.Pow(math.Sin(dLat/2), 2) + math.Cos(latA*rad)*math.Cos(latB*rad)*math.Pow(math.Sin(dLon/2), 2)
	return 2 * earthKm * math.Asin(math.Sqrt(math.Min(1, h)))
}

// away is how far the springs of a yard come from.
type away struct {
	km float64 // NaN when a longitude is not known
	m  float64 // height of the place above the yard; NaN when one is not known
}

func (a away) far() bool { return a.km >= farKm || math.Abs(a.m) >= farM }

// text is "320 km away and 400 m higher", with what is known.
func (a away) text() string {
	s := fmt.Sprintf("%.0f km away", a.km)
	if math.IsNaN(a.km) {
		s = "at a distance that is not known"
	}
	switch {
	case a.m >= farM:
		s += fmt.Sprintf(" and %.0f m higher", a.m)
	case -a.m >= farM:
		s += fmt.Sprintf(" and %.0f m lower", -a.m)
	}
	return s
}

// climateAway weighs how far a built-in climate lies from a yard; false when it is
// too far to be chosen without being named.
func climateAway(y *season.Yard, n climate.Normals, named bool, at read.Problem) (read.Problems, bool) {
	a := away{awayKm(y.LatDeg, y.LonDeg, n.LatDeg, n.LonDeg), n.ElevM - y.ElevM}
	var ps read.Problems
	switch {
	case math.IsNaN(y.LonDeg) && !named:
		at.Code, at.Level = season.FarNote, read.Note
		at.Message = of(y) + fmt.Sprintf("the longitude is not known, and the climate of %s was chosen by the latitude alone", n.Place)
		at.Fix = "give the longitude; west is negative"
		ps.Report(at)
	case !a.far():
	case a.km >= strangeKm && !named:
		at.Code, at.Level = season.FarGuard, read.Error
		at.Message = of(y) + fmt.Sprintf("the built-in climate that is most alike, %s, is %.0f km away", n.Place, a.km)
		at.Fix = "check the sign of the longitude (west is negative); else give a weather record (weather, --weather) or twelve monthly means (monthly_means_c, --monthly-means-c)"
		ps.Report(at)
		return ps, false
	default:
		at.Code, at.Level = season.FarNote, read.Note
		at.Message = of(y) + fmt.Sprintf("the climate of %s is %s", n.Place, a.text())
		at.Fix = "a weather record or monthly means from nearer give a surer answer"
		ps.Report(at)
	}
	return ps, true
}

// knownKm is the distance of a place from a yard, km; 0 when it is not known.
func knownKm(y *season.Yard, latDeg, lonDeg float64) float64 {
	if km := awayKm(y.LatDeg, y.LonDeg, latDeg, lonDeg); !math.IsNaN(km) {
		return km
	}
	return 0
}

// recordAway weighs how far the place of a record lies from a yard.
func recordAway(y *season.Yard, s weather.Station, at read.Problem) read.Problems {
	a := away{awayKm(y.LatDeg, y.LonDeg, s.LatDeg, s.LonDeg), s.ElevM - y.ElevM}
	if !a.far() {
		return nil
	}
	at.Code, at.Level = season.FarNote, read.Note
	at.Message = of(y) + fmt.Sprintf("the weather record is of a place %s", a.text())
	at.Fix = "a record from nearer gives a surer answer"
	if a.km >= strangeKm {
		at.Code, at.Level = season.FarRecordGuard, read.Ask
		at.Fix = "check the longitude of the yard (west is negative), or name a record from nearer"
	}
	return read.Problems{at}
}

// How far a bloom date may lie from the middle of those that the warmth of the yard's
// springs makes likely before that is said, d, 25-28, and asked about, d, 30-45, own
// judgement: springs scatter by 8 to 10 days and the rules by 3 to 8, and a month written
// wrongly moves it by 28 at least.
const (
	offDays = 27
	farDays = 35
)

// bloomAway asks about a bloom date that the warmth of a yard's springs makes most
// unlikely: a month written wrongly feeds a colony to the wrong day.
func bloomAway(y *season.Yard, p forage.Prospect, at read.Problem) read.Problems {
	if p.BloomSeen.IsZero() {
		return nil
	}
	seen := p.BloomSeen
	p.BloomSeen = time.Time{}
	o, err := forage.NewOutlook(p)
	if err != nil { // told of where the springs are made
		return nil
	}
	likely := o.Date(middleBloom(o))
	days := int(math.Round(seen.Sub(likely).Hours() / 24))
	way := "after"
	if days < 0 {
		days, way = -days, "before"
	}
	if days <= offDays {
		return nil
	}
	if at.Code, at.Level = season.BloomFarGuard, read.Note; days > farDays {
		at.Level = read.Ask
	}
	at.Message = of(y) + fmt.Sprintf("the bloom date, %s, lies %d days %s %s, the middle of what the warmth of its springs makes likely",
		seen.Format("2 January"), days, way, likely.Format("2 January"))
	at.Fix = "check the month, and that it is the day of the first dependable nectar"
	return read.Problems{at}
}

// middleBloom is the day of an outlook by which half of its springs, by weight, have
// bloomed.
func middleBloom(o *forage.Outlook) int {
	byDay := slices.Clone(o.Springs)
	slices.SortFunc(byDay, func(a, b forage.Spring) int { return a.BloomDay - b.BloomDay })
	sum := 0.0
	for i := range byDay {
		if sum += byDay[i].Weight; sum >= 0.5 {
			return byDay[i].BloomDay
		}
	}
	return byDay[len(byDay)-1].BloomDay
}

// forecastDays is how many days after today a record may hold, as when a forecast
// was put behind it, d (own judgement: no forecast tells more of single days).
const forecastDays = 16

// recordAhead tells of a record that knows days long after today.
func recordAhead(y *season.Yard, rec *weather.Record, today time.Time, at read.Problem) read.Problems {
	last := len(rec.Days) - 1
	for last >= 0 && !rec.Days[last].HasTemp() {
		last--
	}
	if last < 0 {
		return nil
	}
	ahead := int(rec.Date(last).Sub(today).Hours() / 24)
	if ahead <= forecastDays {
		return nil
	}
	at.Code, at.Level = season.AheadGuard, read.Note
	at.Message = of(y) + fmt.Sprintf("the weather record goes on to %s, %d days after the day asked for", rec.Date(last).Format("2 January 2006"), ahead)
	at.Fix = "check the years of its dates, and today in the settings"
	return read.Problems{at}
}

// weighForecast tells of a forecast that is past, and asks about one that is unlike
// the same days of the record; rec may be nil.
func weighForecast(y *season.Yard, forecast, rec *weather.Record, today time.Time, at read.Problem) read.Problems {
	ps := weather.Unlike(forecast, rec, y.ForecastFile)
	if in := int(forecast.First.Sub(today).Hours() / 24); in > forecastDays {
		at.Code, at.Level = season.ForecastOld, read.Note
		at.Message = of(y) + fmt.Sprintf("the forecast begins on %s, %d days after the day asked for", forecast.First.Format("2 January 2006"), in)
		at.Fix = "name this week's forecast, or none"
		ps.Report(at)
	}
	if ago := int(today.Sub(forecast.Last()).Hours() / 24); ago > 0 {
		at.Code, at.Level = season.ForecastOld, read.Note
		at.Message = of(y) + fmt.Sprintf("the forecast ends on %s, %d days before today", forecast.Last().Format("2 January 2006"), ago)
		at.Fix = "name this week's forecast, or none"
		ps.Report(at)
	}
	return ps
}

// of names a yard at the head of a message; "" for the one of a hive that is asked
// about alone.
func of(y *season.Yard) string {
	if y.Name == season.ThisYard {
		return ""
	}
	return "yard " + y.Name + ": "
}
