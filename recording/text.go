package recording

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// decoded is a text in UTF-8 without a byte order mark. Text that is neither marked nor UTF-8 is taken as UTF-16 where
// every other byte is nought, else as Windows-1252, which is ISO-8859-1 with more signs.
func decoded(raw []byte) (string, error) {
	var from encoding.Encoding
	switch {
	case bytes.HasPrefix(raw, []byte{0xef, 0xbb, 0xbf}):
		raw = raw[3:]
		if !utf8.Valid(raw) {
			from = charmap.Windows1252
		}
	case bytes.HasPrefix(raw, []byte{0xff, 0xfe}), bytes.HasPrefix(raw, []byte{0xfe, 0xff}):
		from = unicode.UTF16(unicode.LittleEndian, unicode.UseBOM)
	case len(raw) >= 4 && raw[0] != 0 && raw[1] == 0 && raw[2] != 0 && raw[3] == 0:
		from = unicode.UTF16(unicode.LittleEndian, unicode.IgnoreBOM)
	case len(raw) >= 4 && raw[0] == 0 && raw[1] != 0 && raw[2] == 0 && raw[3] != 0:
		from = unicode.UTF16(unicode.BigEndian, unicode.IgnoreBOM)
	case !utf8.Valid(raw):
		from = charmap.Windows1252
	}
	if from == nil {
		return string(raw), nil
	}
	text, err := from.NewDecoder().Bytes(raw)
	if err != nil {
		return "", fmt.Errorf("%w: it is not text in UTF-8, UTF-16 or ISO-8859-1: %w", ErrRecording, err)
	}
	return string(text), nil
}

// number reads a number that may have a decimal comma; only finite ones are numbers.
func number(text string) float64 {
	text = strings.TrimSpace(text)
	if len(text) > 40 {
		return unknown
	}
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsInf(v, 0) {
		return unknown
	}
	return v
}

// place reads latitude and longitude of a fix; the rest of it is not known.
func place(lat, lon string) (Fix, error) {
	f := Fix{Lat: number(lat), Lon: number(lon), Height: unknown, Time: unknown, Speed: unknown}
	if !(math.Abs(f.Lat) <= 90) || !(math.Abs(f.Lon) <= 180) {
		return Fix{}, fmt.Errorf("latitude %.20q and longitude %.20q; degrees up to 90 and 180 are expected", lat, lon)
	}
	return f, nil
}

// layouts of a date with a time, with and without a zone.
var (
	zoned   = []string{time.RFC3339, "2006-01-02 15:04:05Z07:00", "2006-01-02 15:04:05 Z0700", "2006-01-02T15:04:05Z0700"}
	unzoned = []string{"2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006/01/02 15:04:05", "02.01.2006 15:04:05"}
	clocks  = []string{"15:04:05"}
)

// clock reads dates with times as seconds.
type clock struct {
	first    time.Time
	zoneless bool    // some had no zone
	daily    bool    // times of day without a date
	last     float64 // [s] the last time of day
	days     float64
}

// read gives the seconds since the first time that was read; not a number for text that is no time.
func (c *clock) read(text string) float64 {
	text = strings.Replace(strings.TrimSpace(text), ",", ".", 1)
	if len(text) < 8 || len(text) > 40 {
		return unknown
	}
	parse := func(layouts []string) (time.Time, bool) {
		for _, layout := range layouts {
			if t, err := time.Parse(layout, text); err == nil {
				return t, true
			}
		}
		return time.Time{}, false
	}
	at, ok := parse(zoned)
	if !ok {
		if at, ok = parse(unzoned); ok {
			c.zoneless = true
		}
	}
	if !ok {
		if at, ok = parse(clocks); !ok {
			return unknown
		}
		c.zoneless, c.daily = true, true
	}
	if c.first.IsZero() {
		c.first = at
	}
	s := seconds(c.first, at)
	if c.daily {
		if s+c.days < c.last-43200 { // past midnight
			c.days += 86400
		}
		s += c.days
		c.last = s
	}
	return s
}

// seconds from one time to another; a difference of times holds only 292 years.
func seconds(from, to time.Time) float64 {
	return float64(to.Unix()-from.Unix()) + float64(to.Nanosecond()-from.Nanosecond())*1e-9
}
