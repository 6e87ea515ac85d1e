package weather

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Which columns of a heading are read; names stand for the cells, "" for none.
func TestHeadingColumns(t *testing.T) {
	for _, c := range []struct {
		heading            string
		sep                byte
		low, high, rain    string
		lowUnit, rainUnits unit
	}{
		{"Date,High (F),Low (F),Rain (in)", ',', "Low (F)", "High (F)", "Rain (in)", unitUS, unitUS},
		{"DATE,MAXT,MINT,PCPN", ',', "MINT", "MAXT", "PCPN", unitOpen, unitOpen},
		{"date;tempMaxC;tempMinC;precipitation_cm", ';', "tempMinC", "tempMaxC", "precipitation_cm", unitMetric, unitCm},
		{"Date,Max,Min", ',', "Min", "Max", "", unitOpen, unitOpen},
		{"Observation date\tDaily maximum temperature (deg C)\tDaily minimum temperature (deg C)\tRainfall in mm", '\t', "Daily minimum temperature (deg C)", "Daily maximum temperature (deg C)", "Rainfall in mm", unitMetric, unitMetric},
		{"date,tx,tn,rr", ',', "tn", "tx", "rr", unitOpen, unitOpen},
		{"date,min dew point,max soil temp c,max wind,mean temp c,tmin_c,tmin_flag,tmax_c,record high c,rain_mm,precip_mm,snow_mm", ',', "tmin_c", "tmax_c", "precip_mm", unitMetric, unitMetric},
		{"datetime,tempmax,tempmin,temp,feelslikemax,feelslikemin,precip,precipprob", ',', "tempmin", "tempmax", "precip", unitOpen, unitOpen},
		{"Date/Heure,Ann\xe9e,Mois,Jour,Temp max.(\xb0C),Temp max. Indicateur,Temp min.(\xb0C),Temp min. Indicateur,Pr\xe9cip. tot. (mm),Pr\xe9cip. tot. Indicateur", ',', "Temp min.(\u00b0C)", "Temp max.(\u00b0C)", "Pr\u00e9cip. tot. (mm)", unitMetric, unitMetric},
	} {
		t.Run(c.heading, func(t *testing.T) {
			h, ok := headingOf([]byte(c.heading), c.sep)
			require.True(t, ok)
			for e, want := range []string{Tmin: c.low, Tmax: c.high, Precip: c.rain} {
				got := ""
				if at := h.element[e].at; at >= 0 {
					got = h.names[at]
				}
				require.Equal(t, want, got, Element(e))
			}
			require.Equal(t, c.lowUnit, h.element[Tmin].unit)
			require.Equal(t, c.rainUnits, h.element[Precip].unit)
		})
	}
	for _, no := range []string{"tmin,tmax,rain", "date,rain,wind", "2014-01-01,1,5", "date", "latitude,longitude", "date,max wind,min humidity"} {
		_, ok := headingOf([]byte(no), ',')
		require.False(t, ok, no)
	}
}
