package scales

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"bloomgap/forage/climate"
	"bloomgap/forage/read"
)

func day(month time.Month, d int) time.Time { return time.Date(2024, month, d, 0, 0, 0, 0, time.UTC) }

func readText(text string) ([]Series, read.Problems) {
	var ps read.Problems
	out := Read("weights.csv", strings.NewReader(text), &ps)
	return out, ps
}

func testdata(t *testing.T) []Series {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", "two_hives.csv"))
	require.NoError(t, err)
	defer f.Close()
	var ps read.Problems
	out := Read("two_hives.csv", f, &ps)
	require.Empty(t, ps)
	return out
}

func TestReadTwoHives(t *testing.T) {
	s := testdata(t)
	require.Len(t, s, 2)
	require.Equal(t, []string{"west", "east"}, []string{s[0].Hive, s[1].Hive})
	require.Len(t, s[0].Weighings, 44, "one day is missing")
	require.Len(t, s[1].Weighings, 15, "every third day")
	fondant := s[0].Weighings[20]
	require.Equal(t, day(1, 22), fondant.Date)
	require.True(t, fondant.Handled)
	require.Equal(t, 2.5, fondant.ChangeKg)
	require.Equal(t, "fondant laid on", fondant.Note)
	wrap := s[1].Weighings[8]
	require.True(t, wrap.Handled)
	require.True(t, math.IsNaN(wrap.ChangeKg), "the amount was not written down")
}

func TestReadLayouts(t *testing.T) {
	for name, c := range map[string]struct {
		text string
		want []Weighing
	}{
		"pounds":                        {"date,weight_lb\n2024-01-02,80\n", []Weighing{{Date: day(1, 2), GrossKg: 36.2873896, Line: 2}}},
		"unit in the cell":              {"day,gross\n2024-01-02,80 lb\n", []Weighing{{Date: day(1, 2), GrossKg: 36.2873896, Line: 2}}},
		"days by points and commas":     {"date;weight kg\n02.01.2024;36,5\n", []Weighing{{Date: day(1, 2), GrossKg: 36.5, Line: 2}}},
		"out of order":                  {"date,weight\n2024-01-03,36\n2024-01-02,37\n", []Weighing{{Date: day(1, 2), GrossKg: 37, Line: 3}, {Date: day(1, 3), GrossKg: 36, Line: 2}}},
		"evening counts":                {"date,weight\n2024-04-02 12:00,30\n2024-04-02 18:30,32\n2024-04-02 22:00,33\n", []Weighing{{Date: day(4, 2), GrossKg: 32.5, Line: 4}}},
		"no evening: middle of all":     {"date,weight\n2024-04-02T06:00,30\n2024-04-02T07:00:10,31\n2024-04-02T12:00,36\n", []Weighing{{Date: day(4, 2), GrossKg: 31, Line: 4}}},
		"empty weights are passed over": {"date,weight\n2024-01-02,36\n2024-01-03,\n2024-01-04,-\n", []Weighing{{Date: day(1, 2), GrossKg: 36, Line: 2}}},
		"clock of the hive's zone":      {"timestamp,weight\n2024-01-02T23:30:00+01:00,36\n2024-01-02 00:30:00+01:00,37\n", []Weighing{{Date: day(1, 2), GrossKg: 36, Line: 3}}},
		"taken off, in pounds":          {"date,weight_lb,change_lb\n2024-01-02,80,-10\n", []Weighing{{Date: day(1, 2), GrossKg: 36.2873896, Handled: true, ChangeKg: -4.5359237, Line: 2}}},
		"two changes of one day sum": {"date,weight,change\n2024-01-02 09:00,36,1\n2024-01-02 20:00,37,2\n",
			[]Weighing{{Date: day(1, 2), GrossKg: 37, Handled: true, ChangeKg: 3, Line: 3}}},
	} {
		t.Run(name, func(t *testing.T) {
			s, ps := readText(c.text)
			require.Empty(t, ps)
			require.Len(t, s, 1)
			require.Len(t, s[0].Weighings, len(c.want))
			for i, w := range c.want {
				got := s[0].Weighings[i]
				require.InDelta(t, w.GrossKg, got.GrossKg, 1e-9)
				require.InDelta(t, w.ChangeKg, got.ChangeKg, 1e-9)
				w.GrossKg, w.ChangeKg = got.GrossKg, got.ChangeKg
				require.Equal(t, w, got)
			}
		})
	}
}

// TestReadAsScalesWrite: the ways in which scales and spreadsheets write the same
// two weighings, 36.5 kg on 2 January 2024 and 36.4 on 3 January.
func TestReadAsScalesWrite(t *testing.T) {
	for name, text := range map[string]string{
		"long headings":                  "Date of the reading,Hive weight in kg (total)\n2024-01-02,36.5\n2024-01-03,36.4\n",
		"unit in brackets":               "Timestamp (UTC),Weight [kg]\n2024-01-02T12:00:00Z,36.5\n2024-01-03T12:00:00.000Z,36.4\n",
		"words run together":             "dateTime,hiveWeightKg\n2024-01-02 12:00:00.000,36.5\n2024-01-03 12:00:00.000,36.4\n",
		"grams":                          "day,weight (g)\n2024-01-02,36500\n2024-01-03,36400\n",
		"only the unit":                  "date,kg\n2024-01-02,36.5\n2024-01-03,36.4\n",
		"in German":                      "Datum;Uhrzeit;Gewicht (kg)\n02.01.2024;12:00;36,5\n03.01.2024;12:00;36,4\n",
		"two figures for the year":       "Datum;Gewicht\n02.01.24 12:00;36,5\n03.01.24 12:00;36,4\n",
		"date and time apart":            "date,time,weight\n2024-01-02,12:00,36.5\n2024-01-03,12:00,36.4\n",
		"an hour":                        "date,hour,weight\n2024-01-02,12,36.5\n2024-01-03,12,36.4\n",
		"American days":                  "Date,Weight\n1/2/2024 3:04 PM,36.5\n1/3/2024 3:04 PM,36.4\n1/14/2024 3:04 PM,\n",
		"American days that run on":      "Date,Weight\n1/2/2024,36.5\n1/3/2024,36.4\n",
		"British days":                   "Date,Weight\n02/01/2024,36.5\n03/01/2024,36.4\n14/01/2024,\n",
		"day month year with dashes":     "Date,Weight\n02-01-2024 12:00,36.5\n03-01-2024 12:00,36.4\n",
		"month as a word":                "Date,Weight\n2 Jan 2024,36.5\n3-Jan-2024,36.4\n",
		"seconds since 1970":             "timestamp,weight\n1704196800,36.5\n1704283200,36.4\n",
		"milliseconds since 1970":        "time,weight\n1704196800000,36.5\n1704283200000,36.4\n",
		"figures run together":           "MESS_DATUM;weight\n2024010212;36.5\n2024010312;36.4\n",
		"units under the headings":       "date,weight\nY-M-D,kg\n2024-01-02,36.5\n2024-01-03,36.4\n",
		"weights under the word hive":    "date,hive\n2024-01-02,36.5\n2024-01-03,36.4\n",
		"year, month and day":            "year,month,day,weight_kg\n2024,1,2,36.5\n2024,1,3,36.4\n",
		"a title first":                  "Readings of the yard,\nas the scale gave them,\ndate,weight\n2024-01-02,36.5\n2024-01-03,36.4\n",
		"decimal comma in marks":         "date,weight\n2024-01-02,\"36,5\"\n2024-01-03,\"36,4\"\n",
		"unit beside the figure":         "date,weight\n2024-01-02,36.5 kg\n2024-01-03,36.4 kg\n",
		"rows without a value":           "date,weight\n2024-01-01,NaN\n2024-01-02,36.5\n2024-01-03,36.4\n2024-01-04,null\n,\n",
		"a second column in lb":          "date,weight_kg,weight_lb\n2024-01-02,36.5,80.5\n2024-01-03,36.4,80.2\n",
		"least, mean and most":           "date,weight_min,weight_mean,weight_max\n2024-01-02,36,36.5,37\n2024-01-03,36,36.4,37\n",
		"a change of the day besides":    "date,weight_kg,weight_delta_kg\n2024-01-02,36.5,0\n2024-01-03,36.4,-0.1\n",
		"a number of the row first":      ",timestamp,weight\n0,2024-01-02 12:00:00,36.5\n1,2024-01-03 12:00:00,36.4\n",
		"weather in the same table":      "date,weight_kg,t_mean,t_min,t_max\n2024-01-02,36.5,3,1,6\n2024-01-03,36.4,4,2,6\n",
		"a comma after the American day": "Date,Weight\n\"1/2/2024, 3:04:05 PM\",36.5\n\"1/3/2024, 3:04:05 PM\",36.4\n",
	} {
		t.Run(name, func(t *testing.T) {
			s, ps := readText(text)
			require.Empty(t, ps.Fatal())
			require.Len(t, s, 1)
			require.Empty(t, s[0].Hive)
			require.Len(t, s[0].Weighings, 2)
			for i, kg := range []float64{36.5, 36.4} {
				require.Equal(t, day(1, 2+i), s[0].Weighings[i].Date)
				require.InDelta(t, kg, s[0].Weighings[i].GrossKg, 1e-9)
				require.False(t, s[0].Weighings[i].Handled)
			}
		})
	}
}

// TestReadSeveralHives: hives by a column, by columns of weights, by nothing but
// their names.
func TestReadSeveralHives(t *testing.T) {
	for name, text := range map[string]string{
		"a column of hives":    "hive_id,timestamp,weight\noak,2024-01-02 20:00,36.5\nash,2024-01-02 20:00,30\noak,2024-01-03 20:00,36.4\n",
		"numbers as names":     "hive_id,date,weight,id\noak,2024-01-02,36.5,1\nash,2024-01-02,30,2\noak,2024-01-03,36.4,3\n",
		"names over weights":   "date,Oak (kg),Ash (kg)\n2024-01-02,36.5,30\n2024-01-03,36.4,\n",
		"in German":            "Volk;Datum;Gewicht kg\noak;02.01.2024;36,5\nash;02.01.2024;30\noak;03.01.2024;36,4\n",
		"columns with a unit":  "date,oak_weight_kg,ash_weight_kg\n2024-01-02,36.5,30\n2024-01-03,36.4,\n",
		"unit in brackets":     "date;Weight oak (kg);Weight ash (kg)\n2024-01-02;36,5;30,0\n2024-01-03;36,4;\n",
		"only names of hives":  "date,oak,ash\n2024-01-02,36.5,30\n2024-01-03,36.4,\n",
		"names and weather":    "date,oak,ash,humidity,t_min,t_max\n2024-01-02,36.5,30,80,1,5\n2024-01-03,36.4,,70,1,5\n",
		"weather and no names": "date,kg oak,kg ash,tmin,tmax,tmean\n2024-01-02,36.5,30,1,5,3\n2024-01-03,36.4,,0,4,2\n",
	} {
		t.Run(name, func(t *testing.T) {
			s, ps := readText(text)
			require.Empty(t, ps.Fatal())
			require.Len(t, s, 2)
			require.Equal(t, []string{"oak", "ash"}, []string{strings.ToLower(s[0].Hive), strings.ToLower(s[1].Hive)})
			require.Len(t, s[0].Weighings, 2)
			require.InDelta(t, 36.4, s[0].Weighings[1].GrossKg, 1e-9)
			require.Len(t, s[1].Weighings, 1)
			require.InDelta(t, 30, s[1].Weighings[0].GrossKg, 1e-9)
		})
	}
}

// TestReadNumberedHives: a number may name a hive, even one that a hive may weigh.
func TestReadNumberedHives(t *testing.T) {
	s, ps := readText("date,hive_id,weight_kg\n2024-01-02,41,36.5\n2024-01-02,42,30\n2024-01-03,41,36.4\n")
	require.Empty(t, ps)
	require.Len(t, s, 2)
	require.Equal(t, "41", s[0].Hive)
	require.Equal(t, 36.4, s[0].Weighings[1].GrossKg)
}

// TestReadWorkbook: days with times as workbooks count them, a sheet a hive.
func TestReadWorkbook(t *testing.T) {
	f := excelize.NewFile()
	for i, name := range []string{"oak", "ash"} {
		if i == 0 {
			require.NoError(t, f.SetSheetName("Sheet1", name))
		} else {
			_, err := f.NewSheet(name)
			require.NoError(t, err)
		}
		require.NoError(t, f.SetSheetRow(name, "A1", &[]any{"Timestamp", "Weight (kg)"}))
		for k, clock := range []int{12, 20, 24 + 19} {
			at := day(1, 2).Add(time.Duration(clock) * time.Hour)
			require.NoError(t, f.SetSheetRow(name, fmt.Sprint("A", k+2), &[]any{at, 36.5 + float64(k) - 5*float64(i)}))
		}
	}
	data, err := f.WriteToBuffer()
	require.NoError(t, err)
	var ps read.Problems
	s := Read("scale.xlsx", data, &ps)
	require.Empty(t, ps)
	require.Len(t, s, 2)
	for i, name := range []string{"oak", "ash"} {
		require.Equal(t, name, s[i].Hive)
		require.Len(t, s[i].Weighings, 2)
		require.Equal(t, day(1, 2), s[i].Weighings[0].Date)
		require.Equal(t, 37.5-5*float64(i), s[i].Weighings[0].GrossKg, "the evening counts")
		require.Equal(t, day(1, 3), s[i].Weighings[1].Date)
	}
}

// TestReadWeather: the day's lowest and highest from hours, or as they stand.
func TestReadWeather(t *testing.T) {
	usual := climate.NearestAt(50, 10, 200)
	half := (usual.TmaxMeanC[0] - usual.TminMeanC[0]) / 2
	hours := "timestamp,temperature_outside,weight\n"
	for h := range 24 {
		hours += fmt.Sprintf("2024-01-02 %02d:00,%d,36\n", h, h-5)
	}
	hours += "2024-01-03 00:00,4,36\n"
	for name, c := range map[string]struct {
		text      string
		low, high float64
		warned    int
	}{
		"by the hour, a day of one reading left out": {hours, -5, 18, 0},
		"in German":                             {strings.ReplaceAll(hours, "temperature_outside", "Außentemperatur [°C]"), -5, 18, 0},
		"an hourly record of a weather service": {strings.NewReplacer("timestamp", "MESS_DATUM", "temperature_outside", "TT_TU").Replace(hours), -5, 18, 0},
		"of unknown place":                      {strings.ReplaceAll(hours, "_outside", ""), -5, 18, 1},
		"lowest and highest":                    {"date,weight_kg,t_mean,t_min,t_max\n2024-01-02,36.5,3,1,6.5\n", 1, 6.5, 0},
		"the day's mean":                        {"date,weight,tmean\n2024-01-02,36,3\n", 3 - half, 3 + half, 1},
		"means beside hives":                    {"date,hive,weight,temp_mean_outside\n2024-01-02,oak,36,3\n2024-01-02,ash,30,3\n", 3 - half, 3 + half, 1},
		"in Fahrenheit":                         {"date,weight_lb,tmin_f,tmax_f\n2024-01-02,80,32,50\n", 0, 10, 0},
		"beside one in the hive":                {"date,weight,temp_inside_min,temp_inside_max,temp_outside_min,temp_outside_max\n2024-01-02,36,20,34,1,5\n", 1, 5, 0},
	} {
		t.Run(name, func(t *testing.T) {
			var ps read.Problems
			rec := ReadWeather("w.csv", strings.NewReader(c.text), usual, &ps)
			require.NotNil(t, rec)
			require.Len(t, ps, c.warned)
			require.Equal(t, day(1, 2), rec.First)
			require.Len(t, rec.Days, 1)
			require.InDelta(t, c.low, rec.Days[0].TminC, 1e-9)
			require.InDelta(t, c.high, rec.Days[0].TmaxC, 1e-9)
		})
	}
	for name, text := range map[string]string{
		"no temperature":   "date,weight\n2024-01-02,36\n",
		"only in the hive": "date,temp_inside_min,temp_inside_max\n2024-01-02,20,34\n",
		"nothing":          "",
	} {
		var ps read.Problems
		require.Nil(t, ReadWeather("w.csv", strings.NewReader(text), usual, &ps), name)
		require.Empty(t, ps)
	}
}

// TestGramsAreRead: what the question about grams asks for is read as grams.
func TestGramsAreRead(t *testing.T) {
	series, ps := readText("date,weight_g\n2024-01-02,52000\n2024-01-03,51950\n")
	require.Empty(t, ps)
	require.InDelta(t, 51.95, series[0].Weighings[1].GrossKg, 1e-9)
}

// TestInHiveTemperatures: a brood nest's 33 C in April is no air. Heading and
// days are invented.
func TestInHiveTemperatures(t *testing.T) {
	usual := climate.NearestAt(50, 10, 200)
	table := func(heading string, meanC float64) string {
		text := "date,weight," + heading + "\n"
		for d := 1; d <= 12; d++ {
			text += fmt.Sprintf("2024-04-%02d,36,%.1f\n", d, meanC+float64(d%3))
		}
		return text
	}
	for name, c := range map[string]struct {
		heading string
		meanC   float64
		level   read.Level
		found   bool
	}{
		"a brood nest":               {"temp", 32, read.Error, true},
		"air of a warm April":        {"temp", 14, read.Note, false},
		"said to be outside":         {"temp_outside", 32, read.Note, true},
		"under a lid, without brood": {"temp", 24, read.Error, true},
	} {
		var ps read.Problems
		ReadWeather("w.csv", strings.NewReader(table(c.heading, c.meanC)), usual, &ps)
		require.Equal(t, c.found, ps.Has(InHiveGuard), "%s: %v", name, ps)
		for _, p := range ps {
			if p.Code == InHiveGuard {
				require.Equal(t, c.level, p.Level, name)
				require.Contains(t, p.Message, "in April 2024", name)
			}
		}
	}
}

func TestBetween(t *testing.T) {
	var ws []Weighing
	for i, kg := range []float64{30, 29, 28, 27} {
		ws = append(ws, Weighing{Date: day(1, 2+i), GrossKg: kg})
	}
	require.Len(t, Between(ws, time.Time{}, time.Time{}), 4)
	require.Equal(t, ws[1:3], Between(ws, day(1, 3), day(1, 4)))
	require.Empty(t, Between(ws, day(2, 1), time.Time{}))
}

func TestReadProblems(t *testing.T) {
	for name, c := range map[string]struct {
		text, want string
		fatal      bool
	}{
		"no weight column":   {"date,humidity\n2024-01-02,36\n", `weights.csv:1: the column "weight_kg" is missing`, true},
		"wrong unit":         {"date,weight_L\n2024-01-02,36\n", "weights.csv:1:2: the heading", true},
		"not a date":         {"date,weight\nJan 2,36\n", "weights.csv:2:1: date", true},
		"no date":            {"date,weight\n,36\n", "weights.csv:2:1: date is empty", true},
		"not a number":       {"date,weight\n2024-01-02,heavy\n", "weights.csv:2:2: weight", true},
		"scale read nothing": {"date,weight\n2024-01-02,0\n2024-01-03,36\n", "weights.csv:2:2: warning: 0 is not the weight of a hive", false},
		"twice without time": {"date,weight\n2024-01-02,35\n2024-01-02,36\n", "weights.csv:3: warning: the hive was weighed twice on 2024-01-02", false},
		"mark without weight": {"date,weight,mark\n2024-01-01,36,\n2024-01-02,,yes\n",
			"weights.csv:3:2: warning: work at the hive without a weight is not used", false},
		"no day": {"place,weight\nhill,36\n", `weights.csv:1: the column "date" is missing`, true},
		"scale off its place for long": {"date,weight\n2024-01-02,0\n2024-01-03,1\n2024-01-04,0\n2024-01-05,2\n2024-01-06,30\n",
			"weights.csv:2:2: warning: 0 and 3 more of 5 readings, on 4 days, are not the weight of a hive", false},
		"one lift": {"date,weight\n2024-01-02 17:00,36\n2024-01-02 18:00,36\n2024-01-02 19:00,0.2\n2024-01-02 20:00,1\n2024-01-02 21:00,36\n",
			"weights.csv:4:2: warning: 2 readings of 2024-01-02, 0.2 to 1 kg, are not the weight of a hive and were left out, as when it is lifted", false},
		"grams without a unit": {"date,weight\n2024-01-02,52000\n2024-01-03,51950\n",
			`weights.csv:1:2: the figures under "weight" lie about 51975, and no hive weighs so many kg: they look like grams; when they are grams, write weight_g`, true},
		"columns of something else": {"date,weight,voltage,humidity\n2024-01-02,36,3,80\n",
			`weights.csv:1: warning: columns that are not used: "voltage", "humidity"`, false},
		"no headings":        {"2024-01-02,36\n2024-01-03,36\n", "weights.csv:1: warning: there are no headings", false},
		"no such day":        {"date,weight\n2024-02-30,36\n", "weights.csv:2:1: date", true},
		"hives by name only": {"date,oak,ash\n2024-01-02,36,30\n", `weights.csv:1:2: warning: the column "oak" is taken for the weights of a hive`, false},
		"nothing in it":      {"date,weight\n", "weights.csv: there is no weighing in it", true},
	} {
		t.Run(name, func(t *testing.T) {
			_, ps := readText(c.text)
			found := false
			for _, p := range ps {
				found = found || strings.HasPrefix(p.String(), c.want)
			}
			require.True(t, found, "%v", ps)
			require.Equal(t, c.fatal, len(ps.Fatal()) > 0)
		})
	}
}

func FuzzRead(f *testing.F) {
	f.Add("date,weight_lb,mark\n2024-01-02,80,yes\n")
	f.Add("date;weight;change\n02.01.2024 18:00;36,5;-1,2\n")
	f.Add("hive\tdate\tweight\na\t2024-01-02T06:00Z\t36\n")
	f.Add("Datum;Uhrzeit;Gewicht oak (kg);kg ash\n02.01.24;18:00;36,5;\n")
	f.Add("year,month,day,x\n2024,1,2,36\n1/2/2024 3:04 PM,1704196800,2 Jan 2024,\n")
	f.Fuzz(func(t *testing.T, text string) {
		var unused read.Problems
		if rec := ReadWeather("w.csv", strings.NewReader(text), climate.NearestAt(50, 10, 200), &unused); rec != nil && len(rec.Days) == 0 {
			t.Fatal("a record without a day")
		}
		series, ps := readText(text)
		if len(series) == 0 && len(ps) == 0 {
			t.Fatal("nothing read and nothing said")
		}
		for _, s := range series {
			require.NotEmpty(t, s.Weighings)
			for i, w := range s.Weighings {
				require.True(t, i == 0 || w.Date.After(s.Weighings[i-1].Date), "one a day, in order")
				require.True(t, w.GrossKg >= leastHiveKg && w.GrossKg <= mostHiveKg)
				require.False(t, w.Date.IsZero())
			}
		}
	})
}
