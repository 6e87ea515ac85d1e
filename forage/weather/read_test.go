package weather

import (
	"bloomgap/forage/read"
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var unknown = math.NaN()

// sameDays compares days and takes NaN as equal to NaN.
func sameDays(t *testing.T, want, got []Day) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		for e, pair := range [][2]float64{{want[i].TminC, got[i].TminC}, {want[i].TmaxC, got[i].TmaxC}, {want[i].PrecipMm, got[i].PrecipMm}} {
			if math.IsNaN(pair[0]) {
				require.True(t, math.IsNaN(pair[1]), "day %d, %s: want unknown, got %v", i, Element(e), pair[1])
				continue
			}
			require.InDelta(t, pair[0], pair[1], 1e-9, "day %d, %s", i, Element(e))
		}
	}
}

func date(s string) time.Time {
	d, err := time.Parse(time.DateOnly, s)
	if err != nil {
		panic("test: bad date " + s)
	}
	return d
}

func messages(ps interface{ Err() error }) string {
	if err := ps.Err(); err != nil {
		return err.Error()
	}
	return ""
}

// dlyLine writes one month of the fixed-width form; marks holds day -> three marks.
func dlyLine(id string, year, month int, element string, values []int, marks map[int]string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%-11s%04d%02d%4s", id, year, month, element)
	for i := range 31 {
		v, m := -9999, "   "
		if i < len(values) {
			v = values[i]
		}
		if k, ok := marks[i+1]; ok {
			m = k
		}
		fmt.Fprintf(&b, "%5d%s", v, m)
	}
	return b.String() + "\n"
}

const canadaHeading = `"Date/Time","Year","Month","Day","Data Quality","Max Temp (` + "\xb0" + `C)","Max Temp Flag","Min Temp (` + "\xb0" + `C)","Min Temp Flag","Mean Temp (` + "\xb0" + `C)","Mean Temp Flag","Total Rain (mm)","Total Rain Flag","Total Precip (mm)","Total Precip Flag","Spd of Max Gust (km/h)","Spd of Max Gust Flag"
`

const canadaRows = `"2011-04-01","2011","04","01","","7.5","","-2.0","","2.8","","0.0","","1.5","","31",""
"2011-04-02","2011","04","02","","8.0","E","","M","","M","0.0","","","M","",""
"2011-04-03","2011","04","03","","9.0","","1.0","E","5.0","E","0.0","","0.0","T","",""
"2011-04-04","2011","04","04","","9.5","","1.5","","5.5","","0.0","C","0.0","C","",""
`

var canadaDays = []Day{{-2, 7.5, 1.5}, {unknown, 8, unknown}, {1, 9, 0}, {1.5, 9.5, 0}}

// The texts are invented in the published layouts.
func TestReadLayouts(t *testing.T) {
	three := []Day{{-1.5, 6, 0}, {0, 7.5, 2.4}, {unknown, 8, unknown}}
	orderUS := "STATION,NAME,DATE,PRCP,TMAX,TMIN\n"
	orderUSDays := []Day{}
	for i := range 40 {
		day := date("2015-05-01").AddDate(0, 0, i)
		orderUS += fmt.Sprintf("USC00000001,\"SOMEWHERE, ND US\",%s,0.10,%d,%d\n", day.Format(time.DateOnly), 68+i%3, 41)
		orderUSDays = append(orderUSDays, Day{5, (68 + float64(i%3) - 32) / 1.8, 2.54})
	}
	for _, c := range []struct {
		name, text string
		opt        Options
		layout     string
		first      string
		want       []Day
		station    string
	}{
		{name: "house style", layout: layoutPlain, first: "2014-03-01", want: three,
			text: "date,tmin_c,tmax_c,precip_mm\n2014-03-01,-1.5,6.0,0\n2014-03-02,0,7.5,2.4\n2014-03-03,,8,\n"},
		{name: "other order, capitals, CRLF, no end of line", layout: layoutPlain, first: "2014-03-01", want: three,
			text: "Precip (mm),TMAX (C),TMIN (C),Date\r\n0,6.0,-1.5,2014-03-01\r\n2.4,7.5,0,2014-03-02\r\n,8,,2014-03-03"},
		{name: "lone CR at line ends, old spreadsheets", layout: layoutPlain, first: "2014-03-01", want: three,
			text: "date,tmin_c,tmax_c,precip_mm\r2014-03-01,-1.5,6.0,0\r2014-03-02,0,7.5,2.4\r2014-03-03,,8,\r"},
		{name: "semicolons and decimal commas", layout: layoutPlain, first: "2014-03-01", want: three,
			text: "Datum;Tmin;Tmax;Niederschlag (mm)\n01.03.2014;-1,5;6,0;0\n02.03.2014;0;7,5;2,4\n03.03.2014;;8;\n"},
		{name: "tabs, minimum and maximum in words, minus sign of word processors", layout: layoutPlain, first: "2014-03-01", want: three,
			text: "day\tminimum temperature\tmaximum temperature\train mm\n2014/3/1\t\u22121.5\t6\t0\n2014/3/2\t0\t7.5\t2.4\n2014/3/3\t\t8\t\n"},
		{name: "year, month and day apart; low and high", layout: layoutPlain, first: "2014-03-01", want: three,
			text: "year,month,day,low,high,rainfall_mm\n2014,3,1,-1.5,6,0\n2014,3,2,0,7.5,2.4\n2014,3,3,NA,8,NaN\n"},
		{name: "byte order mark, quotes, missing words", layout: layoutPlain, first: "2014-03-01", want: three,
			text: "\xef\xbb\xbf\"date\",\"tmin_c\",\"tmax_c\",\"precip_mm\"\n\"2014-03-01\",\"-1.5\",\"6.0\",\"0\"\n\"2014-03-02\",\"0\",\"7.5\",\"2.4\"\n\"2014-03-03\",\"M\",\"8\",\"-9999\"\n"},
		{name: "rows out of order with a day left out", layout: layoutPlain, first: "2014-03-01",
			want: []Day{{-1.5, 6, 0}, {unknown, unknown, unknown}, {0, 7.5, 2.4}},
			text: "date,tmin_c,tmax_c,precip_mm\n2014-03-03,0,7.5,2.4\n2014-03-01,-1.5,6.0,0\n"},
		{name: "F and inches", layout: layoutPlain, first: "2014-03-01", want: []Day{{0, 10, 25.4}, {-40, 5, 0}},
			text: "date,tmin_f,tmax_f,precip_in\n2014-03-01,32,50,1.00\n2014-03-02,-40,41,T\n"},
		{name: "both units side by side: C is read", layout: layoutPlain, first: "2014-03-01", want: []Day{{0, 10, unknown}},
			text: "date,tmin_f,tmax_f,tmin_c,tmax_c\n2014-03-01,32,50,0,10\n"},
		{name: "US option over headings without units", layout: layoutPlain, first: "2014-03-01", want: []Day{{0, 10, 25.4}}, opt: Options{Units: UnitsUS},
			text: "date,tmin,tmax,precip\n2014-03-01,32,50,1\n"},
		{name: "month first, told by a later row", layout: layoutPlain, first: "2014-03-12", want: []Day{{1, 5, unknown}, {2, 6, unknown}},
			text: "date,tmin_c,tmax_c\n3/12/2014,1,5\n3/13/2014,2,6\n"},
		{name: "several places, one wanted", layout: layoutPlain, first: "2012-01-01", opt: Options{Location: "north"}, station: "North End",
			want: []Day{{1, 5, 0.5}, {2, 6, 0}},
			text: "location,date,precipitation,temp_max,temp_min,wind,weather\nSouth End,2012-01-01,9,9,9,4,rain\nNorth End,2012/1/1,0.5,5,1,4,rain\nNorth End,2012/1/2,0,6,2,4,sun\n"},
		{name: "preamble of a forecast service, units in brackets", layout: layoutPlain, first: "2014-03-01", want: []Day{{-1, 6, 2}},
			text: "latitude,longitude,elevation\n47.9,-97.1,253\n\ntime,temperature_2m_max (\u00b0C),temperature_2m_min (\u00b0C),precipitation_sum (mm)\n2014-03-01,6,-1,2\n"},
		{name: "NOAA fixed width: tenths, -9999, quality mark, trailing blanks cut", layout: layoutDly, first: "2013-02-01", station: "USW00000001",
			want: append([]Day{{-13.9, -7.8, 0}, {-2, 3.3, 1.3}, {unknown, unknown, unknown}}, repeat(Day{unknown, unknown, unknown}, 25)...),
			text: dlyLine("USW00000001", 2013, 2, "TMAX", []int{-78, 33, 999}, map[int]string{3: " I "}) +
				strings.TrimRight(dlyLine("USW00000001", 2013, 2, "TMIN", []int{-139, -20}, nil), " \n") + "\n" +
				dlyLine("USW00000001", 2013, 2, "SNOW", []int{7, 7}, nil) +
				dlyLine("USW00000001", 2013, 2, "PRCP", []int{0, 13}, map[int]string{1: "T  "})},
		{name: "NOAA one station per file", layout: layoutAccess, first: "2013-01-01", station: "USW00000001", want: []Day{{-13.9, -7.8, 0}, {unknown, -2.8, 3.3}},
			text: `"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","PRCP_ATTRIBUTES","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"
"USW00000001","2013-01-01","42.9","-87.9","203.3","SOMEWHERE, WI US","    0","T,,W","  -78",",,W"," -139",",,W"
"USW00000001","2013-01-02","42.9","-87.9","203.3","SOMEWHERE, WI US","   33",",,W","  -28",",,W"," -139",",I,W"
`},
		{name: "NOAA long by year, no heading", layout: layoutByYear, first: "2014-01-01", station: "USW00000001", want: []Day{{-14.9, -7.1, 3.3}, {unknown, -7.1, unknown}},
			text: "USW00000001,20140101,TMAX,-71,,,W,2400\nUSW00000001,20140101,TMIN,-149,,,W,2400\nUSW00000001,20140101,PRCP,33,,,W,2400\nUSW00000001,20140101,SNWD,33,,,W,2400\nUSW00000001,20140102,TMAX,-71,,,W,2400\nUSW00000001,20140102,TMIN,-149,,X,W,2400\n"},
		{name: "NOAA long by year, heading, two stations", layout: layoutByYear, first: "2014-01-01", station: "USW00000002", opt: Options{Location: "usw00000002"}, want: []Day{{-1, 3, unknown}},
			text: "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\nUSW00000001,20140101,TMAX,-71,,,W,\nUSW00000002,20140101,TMAX,30,,,W,\nUSW00000002,20140101,TMIN,-10,,,W,\n"},
		{name: "NOAA order, C", layout: layoutOrder, first: "2012-01-01", station: "USC00000001", want: []Day{{-10.6, -1.7, 2.5}, {unknown, -10, unknown}},
			text: "STATION,STATION_NAME,ELEVATION,LATITUDE,LONGITUDE,DATE,PRCP,TMAX,TMIN\nGHCND:USC00000001,SOMEWHERE ND US,253,47.9,-97.1,20120101,2.5,-1.7,-10.6\nGHCND:USC00000001,SOMEWHERE ND US,253,47.9,-97.1,20120102,-9999,-10,-9999\n"},
		{name: "NOAA order with marks in columns of their own", layout: layoutOrder, first: "2012-01-01", station: "USC00000001", want: []Day{{-10.6, unknown, 2.5}, {-9.4, 1.5, 0}},
			text: "STATION,DATE,PRCP,Measurement Flag,Quality Flag,Source Flag,TMAX,Measurement Flag,Quality Flag,Source Flag,TMIN,Measurement Flag,Quality Flag,Source Flag\n" +
				"GHCND:USC00000001,20120101,2.5, , ,0,-1.7, ,I,0,-10.6, , ,0\nGHCND:USC00000001,20120102,0.0,T, ,0,1.5, , ,0,-9.4, , ,0\n"},
		{name: "NOAA order in F and inches, told by its figures", layout: layoutOrder, first: "2015-05-01", station: "USC00000001", want: orderUSDays, text: orderUS},
		{name: "NOAA order, whole figures, US said", layout: layoutOrder, first: "2015-05-01", station: "USC00000001", opt: Options{Units: UnitsUS}, want: []Day{{0, 10, 2.54}},
			text: "STATION,NAME,DATE,PRCP,TMAX,TMIN\nUSC00000001,SOMEWHERE,2015-05-01,0.10,50,32\n"},
		{name: "Canada, Latin-1, with preamble", layout: layoutCanada, first: "2011-04-01", want: canadaDays, station: "7000001",
			text: "\"Station Name\",\"SOMEWHERE\"\n\"Latitude\",\"45.65\"\n\"Climate Identifier\",\"7000001\"\n\n\"Legend\"\n\"M\",\"Missing\"\n\n" + canadaHeading + canadaRows},
		{name: "Canada, no preamble", layout: layoutCanada, first: "2011-04-01", want: canadaDays, text: canadaHeading + canadaRows},
		{name: "Canada, UTF-8 with byte order mark, station in every row", layout: layoutCanada, first: "2011-04-01", want: []Day{{-2, 7.5, 1.5}}, station: "7000001",
			text: "\xef\xbb\xbf\"Longitude (x)\",\"Latitude (y)\",\"Station Name\",\"Climate ID\",\"Date/Time\",\"Year\",\"Month\",\"Day\",\"Data Quality\",\"Max Temp (\u00b0C)\",\"Max Temp Flag\",\"Min Temp (\u00b0C)\",\"Min Temp Flag\",\"Total Precip (mm)\",\"Total Precip Flag\"\n" +
				"\"-73.73\",\"45.65\",\"SOMEWHERE\",\"7000001\",\"2011-04-01\",\"2011\",\"04\",\"01\",\"\",\"7.5\",\"\",\"-2.0\",\"\",\"1.5\",\"\"\n"},
		{name: "Canada, degree sign broken into letters", layout: layoutCanada, first: "2011-04-01", want: canadaDays,
			text: strings.ReplaceAll(canadaHeading, "\xb0C", "M-0C") + canadaRows},
		{name: "MeteoSwiss, dash missing", layout: layoutSwiss, first: "2015-01-01", want: []Day{{-11.9, -2.3, 0}, {-8.7, 2, unknown}}, station: "ABC",
			text: "station/location;date;rre150d0;tre200d0;tre200dn;tre200dx\nABC;20150101;0;-6.4;-11.9;-2.3\nABC;20150102;-;-1.6;-8.7;2\n"},
		{name: "MeteoSwiss, newer headings", layout: layoutSwiss, first: "2015-01-01", want: []Day{{-11.9, -2.3, 0}}, station: "ABC",
			text: "station_abbr;reference_timestamp;rre150d0;tre200d0;tre200dn;tre200dx\nABC;01.01.2015 00:00;0;-6.4;-11.9;-2.3\n"},
		{name: "Deutscher Wetterdienst: padded, -999, CRLF", layout: layoutDWD, first: "2018-06-24", want: []Day{{11.6, 16, 1.1}, {unknown, 21.6, unknown}}, station: "430",
			text: "STATIONS_ID;MESS_DATUM;QN_3;  FX;  FM;QN_4; RSK;RSKF; TMK; UPM; TXK; TNK; TGK;eor\r\n        430;20180624;   10;  10.3;   4.5;    3;   1.1;   6;   13.1;   90.42;   16.0;   11.6;   11.6;eor\r\n        430;20180625;   10;   8.2;   3.4;    3;-999;-999;   15.7;   78.42;   21.6;-999;   10.3;eor\r\n"},
		{name: "no year in a name: comments and a footer are skipped", layout: layoutPlain, first: "2014-03-01", want: []Day{{1, 5, unknown}},
			text: "# my notes\ndate,tmin_c,tmax_c\n# first day\n2014-03-01,1,5\n\nsource: the fence thermometer,,\n"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rec, ps := c.opt.Read("file", strings.NewReader(c.text))
			require.Empty(t, messages(ps))
			require.NotNil(t, rec)
			require.Equal(t, c.layout, rec.Layout)
			require.Equal(t, c.first, rec.First.Format(time.DateOnly))
			require.Equal(t, time.UTC, rec.First.Location())
			sameDays(t, c.want, rec.Days)
			if c.station != "" {
				require.Contains(t, rec.Station.ID+"|"+rec.Station.Name, c.station)
			}
		})
	}
}

func repeat(d Day, n int) []Day {
	out := make([]Day, n)
	for i := range out {
		out[i] = d
	}
	return out
}

func TestReadUTF16(t *testing.T) {
	text := "date\ttmin_c\ttmax_c\n2014-03-01\t-1.5\t6\n"
	for name, order := range map[string]binary.ByteOrder{"\xff\xfe": binary.LittleEndian, "\xfe\xff": binary.BigEndian} {
		b := bytes.NewBufferString(name)
		require.NoError(t, binary.Write(b, order, utf16.Encode([]rune(text))))
		rec, ps := Read("file", b)
		require.Empty(t, messages(ps))
		sameDays(t, []Day{{-1.5, 6, unknown}}, rec.Days)
	}
}

func TestReadStation(t *testing.T) {
	rec, ps := Read("file", strings.NewReader("\"Station Name\",\"SOMEWHERE\"\n\"Latitude\",\"45.65\"\n\"Longitude\",\"-73.73\"\n\"Elevation\",\"53.00\"\n\"Climate Identifier\",\"7000001\"\n"+canadaHeading+canadaRows))
	require.Empty(t, ps)
	require.Equal(t, Station{ID: "7000001", Name: "SOMEWHERE", LatDeg: 45.65, LonDeg: -73.73, ElevM: 53}, rec.Station)
	require.Equal(t, "SOMEWHERE", rec.Name)
}

// wave writes n days of a plain table, with a yearly wave about a mean of 8 C, a
// daily range of 10 C, and rain every third day, through the given conversions.
func wave(heading string, n int, temp, rain func(float64) float64) string {
	var b strings.Builder
	b.WriteString(heading + "\n")
	for i := range n {
		day := date("2001-01-01").AddDate(0, 0, i)
		mean := 8 - 14*math.Cos(2*math.Pi*float64(i)/365.25)
		mm := 0.0
		if i%3 == 0 {
			mm = 6
		}
		fmt.Fprintf(&b, "%s,%.1f,%.1f,%.2f\n", day.Format(time.DateOnly), temp(mean-5), temp(mean+5), rain(mm))
	}
	return b.String()
}

func same(v float64) float64   { return v }
func toF(v float64) float64    { return v*1.8 + 32 }
func toInch(v float64) float64 { return v / 25.4 }

func TestReadProblems(t *testing.T) {
	head := "date,tmin_c,tmax_c,precip_mm\n"
	for _, c := range []struct {
		name, text string
		opt        Options
		fatal      string // part of the fatal problems; "" none
		warn       string // part of the warnings; "" not looked at
		ask        string // part of the questions; "" none
	}{
		{name: "empty", text: "", fatal: "is empty"},
		{name: "blank lines only", text: "\n\r\n  \n", fatal: "is empty"},
		{name: "heading only", text: head, fatal: "no day under it"},
		{name: "binary junk", text: "\x7fELF\x00\x01\x02", fatal: "not a text file"},
		{name: "spreadsheet", text: "PK\x03\x04junk", fatal: "spreadsheet"},
		{name: "packed", text: "\x1f\x8bjunk", fatal: "gzip"},
		{name: "unknown layout says what was seen and what is read", text: "hello there\n1 2 3\n", fatal: `first line is "hello there"`},
		{name: "unknown layout lists the layouts", text: "hello there\n", fatal: layoutDWD},
		{name: "no lowest column", text: "date,tmax_c\n2014-01-01,3\n", fatal: "no column of the heading is the day's lowest temperature; it has date, tmax_c; name it tmin_c or tmin_f"},
		{name: "date not in the calendar, with line and column", text: head + "2014-02-30,1,2,0\n", fatal: `f:2:1: "2014-02-30" is not a date`},
		{name: "all bad dates in one run", text: head + "2014-13-01,1,2,0\nx,1,2,0\n", fatal: `f:3:1: "x" is not a date`},
		{name: "slip in the century", text: head + "0214-01-01,1,2,0\n2014-01-01,1,2,0\n", fatal: "1500 to 2200"},
		{name: "day or month first unknown", text: "date,tmin_c,tmax_c\n3/4/2014,1,5\n", fatal: "f:2:1: the dates may have the day or the month first, and no row tells which; write dates as yyyy-mm-dd"},
		{name: "two orders in one file", text: "date,tmin_c,tmax_c\n13/04/2014,1,5\n04/14/2014,1,5\n", fatal: "f:2:1: some dates have the day first and some the month first"},
		{name: "NaN text is a missing value", text: head + "2014-01-01,NaN,2,nan\n2014-01-02,1,2,0\n"},
		{name: "letters in a cell", text: head + "2014-01-01,1.o,2,0\n2014-01-02,1,2,0\n", warn: `f:2:2: warning: "1.o" is not a number`},
		{name: "infinity", text: head + "2014-01-01,Inf,2,0\n2014-01-02,1,2,0\n", warn: `"Inf" is not a number`},
		{name: "mostly letters", text: head + strings.Repeat("2014-01-01,a,b,c\n", 1) + "2014-01-02,a,b,0\n2014-01-03,1,2,0\n", fatal: "5 of 9 values are not numbers"},
		{name: "lowest above highest", text: head + "2014-01-01,5,2,0\n2014-01-02,1,2,0\n2014-01-03,1,2,0\n", warn: "above the highest on 1 day, the first is 2014-01-01; both made missing"},
		{name: "columns exchanged", text: head + "2014-01-01,5,2,0\n2014-01-02,5,2,0\n2014-01-03,1,2,0\n", fatal: "look exchanged"},
		{name: "impossible cold", text: head + "2014-01-01,-71,2,0\n2014-01-02,1,2,0\n", warn: "f:2:2: warning: 1 value was made missing (impossible value), the first is the lowest temperature of 2014-01-01, -71.0 C"},
		{name: "impossible heat", text: head + "2014-01-01,1,60.1,0\n2014-01-02,1,2,0\n", warn: "highest temperature of 2014-01-01, 60.1 C"},
		{name: "negative rain", text: head + "2014-01-01,1,2,-1\n2014-01-02,1,2,0\n", warn: "precipitation of 2014-01-01, -1.0 mm"},
		{name: "too much rain", text: head + "2014-01-01,1,2,1501\n2014-01-02,1,2,0\n", warn: "1501.0 mm"},
		{name: "nothing left", text: head + "2014-01-01,,2,0\n", fatal: "no day has both"},
		{name: "duplicate date", text: head + "2014-01-01,1,2,0\n2014-01-02,1,2,0\n2014-01-03,1,2,0\n2014-01-03,1,3,0\n", warn: "f:5: warning: 1 date comes more than once, the first is 2014-01-03; 1 value has other figures, the later line counts"},
		{name: "hourly", text: head + "2014-01-01 00:00,1,2,0\n2014-01-01 01:00,1,2,0\n2014-01-02 00:00,1,2,0\n2014-01-02 01:00,1,2,0\n", fatal: "hourly records are not read"},
		{name: "decimal commas between commas", text: "date,tmin_c,tmax_c\n2014-01-01,1,5,3,2\n2014-01-02,1,5,3,2\n", fatal: "separate the cells by semicolons"},
		{name: "F under a C heading", text: wave("date,tmin_c,tmax_c,precip_mm", 400, toF, same), ask: "read as C but look like F"},
		{name: "C under an F heading", text: wave("date,tmin_f,tmax_f,precip_mm", 400, same, same), ask: "read as F but look like C"},
		{name: "F with no unit in the heading", text: wave("date,tmin,tmax,precip_mm", 400, toF, same), fatal: "look like F"},
		{name: "F with no unit, option given", text: wave("date,tmin,tmax,precip", 400, toF, toInch), opt: Options{Units: UnitsUS}},
		{name: "tenths under a C heading", text: wave("date,tmin_c,tmax_c,precip_mm", 400, func(v float64) float64 { return 10 * v }, same), ask: "look like tenths"},
		{name: "inches under a mm heading", text: wave("date,tmin_c,tmax_c,precip_mm", 400, same, toInch), warn: "looks like inches or cm"},
		{name: "rain unit unsaid beside F", text: wave("date,tmin_f,tmax_f,rain", 40, toF, toInch), warn: `the heading "rain" gives no unit; taken as inches`},
		{name: "order form with whole figures", text: "STATION,DATE,TMAX,TMIN\nUSC00000001,20140101,40,30\n", fatal: "may be C or F"},
		{name: "two places, none wanted", text: "location,date,temp_max,temp_min\nA,2014-01-01,1,0\nB,2014-01-01,1,0\n", fatal: "holds 2 places: A; B"},
		{name: "place not there", text: "location,date,temp_max,temp_min\nA,2014-01-01,1,0\n", opt: Options{Location: "C"}, fatal: `has no place "C"; it holds A`},
		{name: "place not clear", text: "location,date,temp_max,temp_min\nAx,2014-01-01,1,0\nAy,2014-01-01,1,0\n", opt: Options{Location: "a"}, fatal: "fits 2 places"},
		{name: "place wanted but none named", text: head + "2014-01-01,1,2,0\n", opt: Options{Location: "a"}, warn: "not looked for"},
		{name: "options that do not validate", text: head + "2014-01-01,1,2,0\n", opt: Options{Units: 9}, fatal: "weather units"},
		{name: "fixed width torn", text: dlyLine("USW00000001", 2013, 1, "TMAX", []int{1}, nil) + "rest of a page\n", fatal: "f:2: is not a line of the fixed-width form"},
		{name: "fixed width, month 13", text: dlyLine("USW00000001", 2013, 13, "TMAX", []int{1}, nil), fatal: "is not a date"},
		{name: "long form torn", text: "USW00000001,20140101,TMAX,-71,,,W,\nUSW00000001,20140102\n", fatal: "f:2: has 2 cells"},
	} {
		t.Run(c.name, func(t *testing.T) {
			rec, ps := c.opt.Read("f", strings.NewReader(c.text))
			if c.ask != "" {
				require.NotNil(t, rec, "usable once it is confirmed")
				require.Contains(t, messages(ps), c.ask)
				require.Empty(t, ps.Errors())
				return
			}
			if c.fatal == "" {
				require.Empty(t, messages(ps))
				require.NotNil(t, rec)
			} else {
				require.Nil(t, rec)
				require.Contains(t, messages(ps), c.fatal)
			}
			var warnings []string
			for _, w := range ps.Warnings() {
				warnings = append(warnings, w.String())
			}
			if c.warn != "" {
				require.Contains(t, strings.Join(warnings, "\n"), c.warn)
			} else if c.fatal == "" {
				require.Empty(t, warnings)
			}
		})
	}
}

// A record without fault in C, mm gives no warning: the signs of wrong units keep still.
func TestReadCleanRecordIsQuiet(t *testing.T) {
	for name, text := range map[string]string{
		"C":             wave("date,tmin_c,tmax_c,precip_mm", 800, same, same),
		"F":             wave("date,tmin_f,tmax_f,precip_in", 800, toF, toInch),
		"no units":      wave("date,tmin,tmax,precip", 800, same, same),
		"January alone": wave("date,tmin_c,tmax_c,precip_mm", 31, same, same),
	} {
		_, ps := Read("f", strings.NewReader(text))
		require.Empty(t, ps, name)
	}
}

func TestReadRemembersWhatItRemoved(t *testing.T) {
	rec, _ := Read("f", strings.NewReader("date,tmin_c,tmax_c\n2014-01-01,-99,2\n2014-01-02,5,2\n2014-01-03,1,2\n2014-01-03,1,2\n2014-01-04,1,2\n"))
	require.Equal(t, []Removed{
		{date("2014-01-01"), Tmin, -99, Impossible, "f", 2},
		{date("2014-01-02"), Tmin, 5, Crossed, "f", 3},
		{date("2014-01-02"), Tmax, 2, Crossed, "f", 3},
	}, rec.Removed)
	require.Equal(t, []time.Time{date("2014-01-03")}, rec.Duplicates)

	flagged, _ := Read("f", strings.NewReader("USW00000001,20140101,TMAX,71,,,W,\nUSW00000001,20140101,TMIN,-149,,,W,\nUSW00000001,20140102,TMAX,250,,G,W,\n"))
	require.Equal(t, []Removed{{date("2014-01-02"), Tmax, 25, Flagged, "f", 3}}, flagged.Removed)
}

func TestReadFiles(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		p := filepath.Join(dir, name)
		require.NoError(t, os.WriteFile(p, []byte(text), 0o600))
		return p
	}
	a := file("a.csv", "date,tmin_c,tmax_c,precip_mm\n2014-12-30,1,5,0\n2014-12-31,1,5,0\n2015-01-01,9,9,\n")
	b := file("b.csv", "date,tmin_f,tmax_f,precip_mm\n2015-01-01,32,50,\n2015-01-02,32,,3\n")
	c := file("c.csv", "date,tmin_c,tmax_c\n2015-01-05,2,3\n")
	bad := file("bad.csv", "nothing of use\n")

	t.Run("the later named wins, value by value, and gaps between files are unknown days", func(t *testing.T) {
		rec, ps := ReadFiles([]string{a, b, c})
		require.Empty(t, messages(ps))
		sameDays(t, []Day{{1, 5, 0}, {1, 5, 0}, {0, 10, unknown}, {0, unknown, 3}, {unknown, unknown, unknown}, {unknown, unknown, unknown}, {2, 3, unknown}}, rec.Days)
		require.Len(t, ps, 1)
		require.Contains(t, ps[0].String(), "1 day is also in "+a+", 1 of them with other figures; the file named later wins")
	})
	t.Run("named the other way round", func(t *testing.T) {
		rec, _ := ReadFiles([]string{b, a})
		sameDays(t, []Day{{1, 5, 0}, {1, 5, 0}, {9, 9, unknown}, {0, unknown, 3}}, rec.Days)
	})
	t.Run("all problems of all files in one run", func(t *testing.T) {
		rec, ps := ReadFiles([]string{bad, filepath.Join(dir, "missing.csv"), a})
		require.Nil(t, rec)
		require.Contains(t, messages(ps), "layout not known")
		require.Contains(t, messages(ps), "cannot be opened")
	})
	t.Run("no file", func(t *testing.T) {
		_, ps := ReadFiles(nil)
		require.Contains(t, messages(ps), "no file was named")
	})
	dwd := "STATIONS_ID;MESS_DATUM; RSK; TXK; TNK;eor\r\n"
	old := file("old.txt", dwd+"430;20190101;0.0;5.0;1.0;eor\r\n430;20190102;0.0;5.0;1.0;eor\r\n430;20190103;0.0;5.0;1.0;eor\r\n")
	recent := file("recent.txt", dwd+"430;20190102;2.0;6.0;-999;eor\r\n430;20190103;2.0;6.0;2.0;eor\r\n430;20190104;2.0;6.0;2.0;eor\r\n")
	for name, paths := range map[string][]string{"recent named last": {old, recent}, "recent named first": {recent, old}} {
		t.Run("Wetterdienst: the recent file wins, "+name, func(t *testing.T) {
			rec, ps := ReadFiles(paths)
			require.Empty(t, messages(ps))
			sameDays(t, []Day{{1, 5, 0}, {1, 6, 2}, {2, 6, 2}, {2, 6, 2}}, rec.Days)
			require.Contains(t, ps[0].String(), "the recent one, wins")
		})
	}
	t.Run("files of two stations are told", func(t *testing.T) {
		other := file("other.txt", dwd+"431;20190105;2.0;6.0;2.0;eor\r\n")
		_, ps := ReadFiles([]string{old, other})
		require.Contains(t, ps[0].String(), "station 431")
	})
	t.Run("two files that cross", func(t *testing.T) {
		lo := file("lo.csv", "date,tmin_c,tmax_c\n2015-01-01,1,5\n2015-01-02,1,5\n")
		hi := file("hi.csv", "date,tmin_c,tmax_c\n2015-01-01,7,\n2015-01-03,1,5\n")
		rec, ps := ReadFiles([]string{lo, hi})
		require.False(t, rec.Days[0].HasTemp())
		require.Len(t, rec.Removed, 2)
		require.Contains(t, fmt.Sprint(ps), "of one file above the highest of another")
	})
}

// What is written as a plain table reads back as the same days, whatever the
// separator, the decimal mark and the order of the columns.
func TestReadRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 40).Draw(t, "days")
		sep := rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "separator")
		comma := sep != "," && rapid.Bool().Draw(t, "decimal comma")
		columns := rapid.Permutation([]string{"date", "tmin_c", "tmax_c", "precip_mm"}).Draw(t, "columns")
		end := rapid.SampledFrom([]string{"\n", "\r\n", "\r"}).Draw(t, "line end")
		start := date("1995-02-20").AddDate(0, 0, rapid.IntRange(0, 9000).Draw(t, "start"))
		var want []Day
		text := strings.Join(columns, sep) + end
		for i := range n {
			low := rapid.IntRange(-400, 200).Draw(t, "lowest")
			d := Day{float64(low) / 10, float64(low+rapid.IntRange(0, 200).Draw(t, "range")) / 10, float64(rapid.IntRange(0, 500).Draw(t, "rain")) / 10}
			want = append(want, d)
			cells := map[string]string{"date": start.AddDate(0, 0, i).Format(time.DateOnly), "tmin_c": fmt.Sprint(d.TminC), "tmax_c": fmt.Sprint(d.TmaxC), "precip_mm": fmt.Sprint(d.PrecipMm)}
			var row []string
			for _, c := range columns {
				if comma {
					cells[c] = strings.Replace(cells[c], ".", ",", 1)
				}
				row = append(row, cells[c])
			}
			text += strings.Join(row, sep) + end
		}
		rec, ps := DefaultOptions().Read("f", strings.NewReader(text))
		if rec == nil {
			t.Fatalf("%v in\n%s", ps, text)
		}
		if !rec.First.Equal(start) || len(rec.Days) != n {
			t.Fatalf("first %v, %d days", rec.First, len(rec.Days))
		}
		for i := range want {
			if want[i] != rec.Days[i] {
				t.Fatalf("day %d: want %v, got %v", i, want[i], rec.Days[i])
			}
		}
	})
}

// dayNumber agrees with the calendar of the standard library on every day.
func TestDayNumber(t *testing.T) {
	day := time.Date(read.FirstYear, 1, 1, 0, 0, 0, 0, time.UTC)
	for want := int32(day.Unix() / 86400); day.Year() <= read.LastYear; want++ {
		got, ok := read.DayNumber(day.Year(), int(day.Month()), day.Day())
		if !ok || got != want {
			t.Fatalf("%v: %d %v, want %d", day, got, ok, want)
		}
		day = day.AddDate(0, 0, 1)
	}
	for _, bad := range [][3]int{{2001, 2, 29}, {2000, 2, 30}, {1900, 2, 29}, {2001, 0, 1}, {2001, 13, 1}, {2001, 4, 31}, {2001, 1, 0}, {1499, 1, 1}, {2201, 1, 1}} {
		_, ok := read.DayNumber(bad[0], bad[1], bad[2])
		require.False(t, ok, "%v", bad)
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("date,tmin_c,tmax_c,precip_mm\n2014-03-01,-1.5,6.0,0\n2014-03-01,,7,T\n"))
	f.Add([]byte("Datum;Tmin;Tmax\n01.03.2014;-1,5;6,0\n"))
	f.Add([]byte("location,date,precipitation,temp_max,temp_min,wind,weather\nA,2012/1/1,0.5,5,1,4,rain\n"))
	f.Add([]byte(dlyLine("USW00000001", 2013, 2, "TMAX", []int{-78, 33}, nil) + dlyLine("USW00000001", 2013, 2, "TMIN", []int{-99, 3}, map[int]string{2: " I "})))
	f.Add([]byte("USW00000001,20140101,TMAX,-71,,,W,2400\nUSW00000001,20140101,TMIN,-149,,,W,2400\n"))
	f.Add([]byte("STATION,DATE,TMAX,TMIN\nGHCND:USC00000001,20120101,-1.7,-10.6\n"))
	f.Add([]byte(`"STATION","DATE","NAME","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"` + "\n" + `"U","2013-01-01","S","-78",",,W","-139",",,W"`))
	f.Add([]byte("\"Station Name\",\"X\"\n" + canadaHeading + canadaRows))
	f.Add([]byte("station/location;date;rre150d0;tre200dn;tre200dx\nABC;20150101;-;-11.9;-2.3\n"))
	f.Add([]byte("STATIONS_ID;MESS_DATUM; RSK; TXK; TNK;eor\r\n430;20190101;0.0;5.0;-999;eor\r\n"))
	f.Add([]byte("\xff\xfed\x00a\x00"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rec, ps := Read("f", bytes.NewReader(data))
		again, _ := Read("f", bytes.NewReader(data))
		if (rec == nil) != (again == nil) || (rec != nil && len(rec.Days) != len(again.Days)) {
			t.Fatal("two readings differ")
		}
		if rec == nil {
			if ps.Err() == nil {
				t.Fatal("no record and no fatal problem")
			}
			return
		}
		if ps.Err() != nil {
			t.Fatal("a record in spite of a fatal problem")
		}
		known := 0
		for i, d := range rec.Days {
			if d.TminC > d.TmaxC || impossible(Tmin, d.TminC) || impossible(Tmax, d.TmaxC) || impossible(Precip, d.PrecipMm) {
				t.Fatalf("%v: %v", rec.Date(i), d)
			}
			if d.HasTemp() {
				known++
			}
		}
		if known == 0 {
			t.Fatal("no day with temperatures")
		}
		for _, p := range ps {
			if p.Message == "" || strings.HasSuffix(p.Message, ".") && !strings.HasSuffix(p.Message, "...") {
				t.Fatalf("message %q", p.Message)
			}
		}
		Summarise(rec, MonthDay{time.February, 29}, MonthDay{time.May, 31}, nil)
	})
}

// BenchmarkRead reads 36 years in three layouts.
func BenchmarkRead(b *testing.B) {
	const days = 13149 // 1990 to 2025
	plain := wave("date,tmin_c,tmax_c,precip_mm", days, same, same)
	var long, fixed strings.Builder
	for i := range days {
		day := date("1990-01-01").AddDate(0, 0, i)
		for _, e := range []string{"TMAX", "TMIN", "PRCP"} {
			fmt.Fprintf(&long, "USW00000001,%s,%s,%d,,,W,2400\n", day.Format("20060102"), e, 30)
			if day.Day() == 1 {
				fixed.WriteString(dlyLine("USW00000001", day.Year(), int(day.Month()), e, repeatInt(30, read.MonthLength(day.Year(), int(day.Month()))), nil))
			}
		}
	}
	for name, text := range map[string]string{"plain": plain, "long": long.String(), "fixed": fixed.String()} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				if rec, ps := Read("f", strings.NewReader(text)); rec == nil || len(rec.Days) != days {
					b.Fatal(ps)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/1000, "ms/36years")
		})
	}
}

func repeatInt(v, n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = v
	}
	return out
}
