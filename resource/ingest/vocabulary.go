package ingest

import "strings"

// meaning is what a word in a column's name can say.
type meaning uint32

const (
	meansWind meaning = 1 << iota
	meansSpeed
	meansGust
	meansDirection
	meansTemperature
	meansPressure
	meansHumidity
	meansSun    // irradiance of some kind
	meansDirect // of the beam
	meansNormal // on a plane facing it
	meansDiffuse
	meansMean
	meansDeviation
	meansMax
	meansMin
	meansVector
	meansPulses
	meansTime // a stamp, whole or in part
	meansEnd
	meansBegin
	meansSeaLevel
	meansPower // electrical, of a machine, as the next three
	meansVolts
	meansAmps
	meansTurns
	meansBattery // of which the voltage alone may matter, beside a current
	meansMachine // the turbine or its generator, whose own temperature is not the air's
	meansOther   // something that is none of the quantities, whatever else the name says
	// meansMaybe marks words of one letter, which need a unit or a height beside them.
	meansMaybe
)

const meansMeasured = meansWind | meansSpeed | meansGust | meansDirection | meansTemperature | meansPressure | meansHumidity | meansSun |
	meansDirect | meansDiffuse | meansElectric

const meansElectric = meansPower | meansVolts | meansAmps | meansTurns

// vocabulary holds the words by meaning: English first, then what loggers print in German, French, Spanish, Italian,
// Portuguese, Dutch and the Nordic languages.
var vocabulary = func() map[string]meaning {
	m := map[string]meaning{}
	add := func(what meaning, words string) {
		for _, w := range strings.Fields(words) {
			m[w] |= what
		}
	}
	add(meansWind, "wind vent viento vento vind")
	add(meansSpeed, "ws wspd wspeed speed spd velocity vel windspeed ff anemometer anemo anem cup wsp geschwindigkeit windgeschwindigkeit "+
		"vitesse velocidad velocidade velocita velocità hastighet vindhastighet snelheid windsnelheid")
	add(meansGust, "gust gusts wg gst wgust windgust böe boe böen rafale rafales rafaga ráfaga raffica rajada windstoot byvind")
	add(meansDirection, "wd wdir dir direction vane dd drct bearing wdr windvane windrichtung richtung direccion dirección direzione "+
		"direcao direção windrichting richting vindriktning retning")
	add(meansTemperature, "temp temperature tair airtemp ta tmp drybulb dry airtc temperatur lufttemperatur température temperatura temperatuur")
	add(meansPressure, "press pressure baro barom barometer barometric bp pres ps luftdruck druck pression presion presión pressione "+
		"pressão luchtdruk lufttryck trykk")
	add(meansHumidity, "rh hum humid humidity relhum rhum feuchte luftfeuchte luftfeuchtigkeit humidité humidite humedad umidità umidita "+
		"umidade vochtigheid fuktighet")
	add(meansSun, "ghi dni dhi global globalstrahlung shortwave solar irradiance radiation insolation pyranometer solrad srad strahlung "+
		"rayonnement radiacion radiación radiazione straling solarradiation")
	add(meansDirect, "dni direct beam")
	add(meansNormal, "dni normal")
	add(meansDiffuse, "dhi diffuse")
	add(meansMean, "mean avg average ave mittel mittelwert moyenne media médio gem gemiddeld medel")
	add(meansDeviation, "sd std stdev stddev sdev dev deviation sigma stdabw écart")
	add(meansMax, "max maximum peak maxi hi high highest")
	add(meansMin, "min minimum mini lo low lowest")
	add(meansVector, "vec vect vector resultant")
	add(meansPulses, "pulse pulses counts count ticks tick impulse impulses impuls contacts")
	add(meansTime, "time timestamp datetime tmstamp stamp valid date ts zeit uhrzeit zeitstempel datum fecha hora heure data tijd tid")
	add(meansEnd, "end ending ended until to ende fin")
	add(meansBegin, "begin beginning start starting from beginn début")
	add(meansSeaLevel, "sea slp mslp msl qnh qff alti altimeter baromrel relative")
	add(meansPower, "power watts watt leistung puissance potencia potência potenza vermogen effekt")
	add(meansVolts, "volt volts voltage spannung tension tensión tensione tensão spanning spänning")
	add(meansAmps, "amp amps ampere amperes current strom courant corriente corrente stroom ström")
	add(meansTurns, "rpm drehzahl")
	add(meansBattery, "battery batt bat batterie bateria batería batteria accu akku batteri")
	add(meansMachine, "generator alternator turbine dynamo générateur generador gerador")
	add(meansOther, "dew dewp dewpoint dwp dwpc dwpf soil panel logger internal indoor inside chill feels "+
		"feel apparent heat index wet wetbulb vapour vapor vpd specific mixing uv par net longwave tilted clear toa etr etrn extraterrestrial "+
		"turbulence ti shear density vertical run rain precip precipitation visib visibility cloud cloudcover illum illuminance source uncert "+
		"uncertainty qc qa qcd flag flags quality status snow water wave energy factor reactive apparent rotor fan pump correction "+
		"co2 pm range id number error sample samples n record rn signal skew kurtosis variance covariance lux cooling degree")
	add(meansMaybe|meansSpeed, "v")
	add(meansMaybe|meansTemperature, "t")
	add(meansMaybe|meansPressure, "p")
	add(meansMaybe|meansSun, "g")
	add(meansOther, "u")
	return m
}()

// joinedWords are words with their unit grown on.
var joinedWords = map[string]struct{ word, unit string }{
	"sknt": {"speed", "knots"}, "tmpf": {"temp", "°F"}, "tempf": {"temp", "°F"}, "tmpc": {"temp", "°C"}, "tempc": {"temp", "°C"},
	"baromin": {"baro", "inHg"}, "baromabsin": {"baro", "inHg"}, "baromrelin": {"slp", "inHg"},
}

// otherNames are whole names that look like something else when cut into words: p01m and p01i, precipitation of the hour
// before in airports' reports, look like a pressure at 1 m.
var otherNames = map[string]bool{"p01m": true, "p01i": true, "p03m": true, "p03i": true, "p06m": true, "p06i": true, "p24m": true, "p24i": true}

// joinedUnits are the units that grow on to any word, as in "speedmph".
var joinedUnits = []string{"mph", "kmh", "kph", "mps", "kts"}

// partWords name the parts of a stamp. They count only when the name says nothing else.
var partWords = map[string]string{
	"year": ColumnYear, "yr": ColumnYear, "yyyy": ColumnYear, "yy": ColumnYear, "jahr": ColumnYear,
	"month": ColumnMonth, "mo": ColumnMonth, "mon": ColumnMonth, "mm": ColumnMonth, "mnth": ColumnMonth, "monat": ColumnMonth,
	"day": ColumnDay, "dy": ColumnDay, "dayofmonth": ColumnDay, "tag": ColumnDay, "dom": ColumnDay,
	"doy": ColumnYearDay, "jday": ColumnYearDay, "julian": ColumnYearDay, "dayofyear": ColumnYearDay, "yday": ColumnYearDay, "jd": ColumnYearDay,
	"hour": ColumnHour, "hr": ColumnHour, "hh": ColumnHour, "hours": ColumnHour, "stunde": ColumnHour,
	"minute": ColumnMinute, "minutes": ColumnMinute, "mi": ColumnMinute, "min": ColumnMinute, "nn": ColumnMinute,
	"second": ColumnSecond, "sec": ColumnSecond, "ss": ColumnSecond, "seconds": ColumnSecond,
	"date": ColumnDate, "datum": ColumnDate, "fecha": ColumnDate,
	"time": ColumnTime, "hhmm": ColumnTimeOfDay, "uhrzeit": ColumnTimeOfDay, "hora": ColumnTimeOfDay, "heure": ColumnTimeOfDay,
}

// zoneWords are abbreviations of standard times that mean one offset, h. Those of summer times and those with several
// meanings are not here.
var zoneWords = map[string]float64{
	"est": -5, "cst": -6, "mst": -7, "pst": -8, "akst": -9, "hst": -10, "wet": 0, "cet": 1, "mez": 1, "eet": 2, "sast": 2, "msk": 3,
	"awst": 8, "jst": 9, "kst": 9, "acst": 9.5, "aest": 10, "nzst": 12,
}

// lengthWords follow a number that is a height, timeWords one that is a length of time.
var (
	lengthWords = map[string]float64{"m": 1, "meter": 1, "meters": 1, "metre": 1, "metres": 1, "mtr": 1, "ft": 0.3048, "feet": 0.3048, "foot": 0.3048}
	timeWords   = map[string]bool{"min": true, "mins": true, "minute": true, "minutes": true, "s": true, "sec": true, "secs": true,
		"second": true, "seconds": true, "h": true, "hr": true, "hrs": true, "hour": true, "hours": true, "hz": true, "mn": true}
)
