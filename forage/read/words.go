package read

import (
	"strings"
	"unicode"
)

// Meaning is what a word of a heading stands for. A word may stand for several
// things: "in" is a filler, an inch, and the inside of a hive; who asks decides
// by the words beside it.
type Meaning uint64

// The meanings.
const (
	WordDate       Meaning = 1 << iota // a day, by a word that can mean nothing else
	WordMoment                         // a day or a time of day
	WordClock                          // a time of day
	WordDateFiller                     // may stand beside a date
	WordYear
	WordMonth
	WordDay // the day of the month, or a day

	WordCelsius
	WordFahrenheit
	WordMm
	WordCm
	WordInch
	WordHigh    // the highest of something
	WordLow     // the lowest of something
	WordMean    // the mean of something
	WordTmax    // the day's highest temperature
	WordTmin    // the day's lowest temperature
	WordTmean   // the day's mean temperature
	WordTemp    // a temperature
	WordOutside // of the air outside
	WordInHive  // not of the air outside, or of it as felt
	WordRain    // rain
	WordPrecip  // rain and melted snow
	WordFiller  // may stand beside a highest or lowest temperature
	WordOther   // names another quantity, or not the quantity itself
	WordMark    // a mark beside a figure

	WordPlace
	WordLat
	WordLon
	WordElev

	WordWeight     // the weight of a hive, units included
	WordMassUnit   // a unit of weight
	WordAnyHive    // may stand beside a weight and says nothing of whose it is
	WordNotWeight  // a change, a tare, an error: not a weight itself
	WordHiveColumn // whole headings of a column that names hives, with underscores
)

// vocabulary is every word that a heading is known by, English, German and
// French, in lower case.
var vocabulary = meanings(map[Meaning]string{
	WordDate:       "date dates datum datetime timestamp zeitstempel dato fecha",
	WordMoment:     "time zeit zeitpunkt",
	WordClock:      "time zeit uhrzeit clock hour hours hh stunde",
	WordDateFiller: "of the at on reading readings weighing measured measurement recorded created sample messung mess local utc gmt cet mez iso unix epoch s ms end",
	WordYear:       "year yr yyyy jahr anne annee année",
	WordMonth:      "month mo mm monat mois",
	WordDay:        "day dd tag jour",

	WordCelsius:    "c 0c degc celsius centigrade",
	WordFahrenheit: "f 0f degf fahrenheit",
	WordMm:         "mm millimeter millimeters millimetre millimetres",
	WordCm:         "cm",
	WordInch:       "in inch inches",
	WordHigh:       "max maximum maxi maximal maximale high highest hi",
	WordLow:        "min minimum mini minimal minimale low lowest lo",
	WordMean:       "mean avg average mittel",
	WordTmax:       "tmax tx txk tmx tempmax maxtemp maxt tre200dx",
	WordTmin:       "tmin tn tnk tmn tempmin mintemp mint tre200dn",
	WordTmean:      "tmean tmk",
	WordTemp:       "temp temps temperature temperatures temperatur t tt ta tmp lufttemperatur",
	WordOutside:    "outside ambient air tt",
	WordInHive: `hive inside internal inner brood nest core in innen stock probe cpu board soil ground water dew dewpoint
		apparent felt surface ts5`,
	WordRain:   "rain rainfall regen pluie",
	WordPrecip: "precip precipitation prcp pcp pcpn prec rr rsk prcip niederschlag rre150d0 ppt",
	WordFiller: "daily day deg degree degrees the of air c 0c degc celsius centigrade f 0f degf fahrenheit in",
	WordOther: `flag flags attributes qc quality source count time soil ground grass dew dewpoint apparent
		feels feelslike heat windchill chill wet bulb humidity rh gust wind speed spd dir pressure normal record
		departure hours probability prob chance snow snowfall sun sunshine radiation water sea
		depth type normals anomaly indicateur sd std`,
	WordMark: "flag flags quality attributes indicateur",

	WordPlace: "location station stations stn site place city town",
	WordLat:   "latitude lat",
	WordLon:   "longitude lon long lng",
	WordElev:  "elevation elev altitude alt",

	WordWeight:     "weight weights wt gross mass gewicht bruttogewicht masse kg kgs kilo kilos kilogram kilograms lb lbs pound pounds",
	WordMassUnit:   "kg kgs kilo kilos kilogram kilograms g gram grams lb lbs pound pounds oz",
	WordAnyHive:    "hive total scale of the in hives value mean average avg median gross net smoothed corrected stock beute waage day daily",
	WordNotWeight:  "change delta diff difference gain loss rate std sd var error err flag quality count n min max cumulative trend temp temperature humidity tare battery voltage rain raw",
	WordHiveColumn: "hive colony name hive_id hive_name hive_no hive_number colony_id colony_name volk bienenvolk stock beute scale_id sensor sensor_id device device_id id",
})

func meanings(lists map[Meaning]string) map[string]Meaning {
	out := map[string]Meaning{}
	for m, list := range lists {
		for w := range strings.FieldsSeq(list) {
			out[w] |= m
		}
	}
	return out
}

// MeaningOf is all that a word in lower case stands for; 0 when it is not known.
func MeaningOf(word string) Meaning {
	m := vocabulary[word]
	switch { // services join more words to these
	case strings.HasPrefix(word, "temp"):
		m |= WordTemp
	case strings.HasPrefix(word, "precip"), strings.HasPrefix(word, "précip"):
		m |= WordPrecip
	}
	return m
}

// AnyWord tells whether one of the words has one of the meanings.
func AnyWord(words []string, m Meaning) bool {
	for _, w := range words {
		if MeaningOf(w)&m != 0 {
			return true
		}
	}
	return false
}

// AllWords tells whether there are words and each has one of the meanings.
func AllWords(words []string, m Meaning) bool {
	for _, w := range words {
		if MeaningOf(w)&m == 0 {
			return false
		}
	}
	return len(words) > 0
}

// Words cuts a heading into its words in lower case; "weightKg" has two. A degree
// sign that was saved in the wrong alphabet is passed over.
func Words(heading string) []string {
	var out []string
	var word []rune
	flush := func() {
		if len(word) > 0 {
			out = append(out, strings.ToLower(string(word)))
			word = word[:0]
		}
	}
	prev := ' '
	for _, r := range strings.ReplaceAll(heading, "Â°", "°") {
		switch {
		case !unicode.IsLetter(r) && !unicode.IsDigit(r):
			flush()
		case unicode.IsUpper(r) && unicode.IsLower(prev):
			flush()
			word = append(word, r)
		default:
			word = append(word, r)
		}
		prev = r
	}
	flush()
	return out
}
