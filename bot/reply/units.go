package reply

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// Units are the choices of the settings for sizes; temperatures always stand in both.
const (
	Metric = "metric"
	US     = "us"
	Both   = "both"
)

func fahrenheit(celsius float64) float64 {
	return math.Round((celsius*9/5+32)/10) * 10
}

// degrees is a temperature in both scales, Fahrenheit rounded to ten; Celsius first except for units us.
func degrees(celsius float64, c Context) string {
	return degreeRange(celsius, celsius, c)
}

func degreeRange(low, high float64, c Context) string {
	cs, fs := span(math.Round(low), math.Round(high)), span(fahrenheit(low), fahrenheit(high))
	if c.Units == US {
		return fs + string(noBreak) + "F" + string(noBreak) + "(" + cs + string(noBreak) + "C)"
	}
	return cs + string(noBreak) + "C" + string(noBreak) + "(" + fs + string(noBreak) + "F)"
}

func span(low, high float64) string {
	if low == high {
		return fmt.Sprintf("%.0f", low)
	}
	return fmt.Sprintf("%.0f-%.0f", low, high)
}

// celsiusInText finds a temperature in degrees C as the tables write it: "150 C", "150-260 °C".
var celsiusInText = regexp.MustCompile(`(^|[^0-9.,/-])(-?[0-9]{1,4})(?:( ?(?:-|–|to) ?)([0-9]{1,4}))? ?(?:°C|° C|C\b)(\s*\([^)]*F\))?`)

// bothDegrees adds Fahrenheit to every temperature that a text gives in Celsius only. A figure with a
// decimal point before C is a carbon content and stays.
func bothDegrees(text string, c Context) string {
	return celsiusInText.ReplaceAllStringFunc(text, func(found string) string {
		m := celsiusInText.FindStringSubmatch(found)
		if m[5] != "" {
			return found
		}
		low, err := strconv.ParseFloat(m[2], 64)
		if err != nil {
			return found
		}
		high := low
		if m[4] != "" {
			if high, err = strconv.ParseFloat(m[4], 64); err != nil {
				return found
			}
		}
		return m[1] + degreeRange(low, high, c)
	})
}

// length is a size in the rep's own unit first, then the other where the settings want both.
func length(mm float64, c Context) string {
	metric := trimNumber(mm, 1) + string(noBreak) + "mm"
	inches := inchFraction(mm/25.4) + string(noBreak) + "in"
	switch {
	case c.Inch || c.Units == US:
		return inches + " (" + metric + ")"
	case c.Units == Both:
		return metric + " (" + inches + ")"
	}
	return metric
}

func trimNumber(v float64, places int) string {
	text := strconv.FormatFloat(v, 'f', places, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

// inchFraction writes inches in sixteenths where that is within half a hundredth of an inch, else in decimals.
func inchFraction(inches float64) string { return fractionOf(16, inches, 0.005) }

// fractionOf writes inches in parts of that many an inch where one lies within the tolerance, else in decimals.
func fractionOf(of int, inches, within float64) string {
	parts := math.Round(inches * float64(of))
	if math.Abs(parts/float64(of)-inches) > within || parts == 0 {
		return trimNumber(inches, 2)
	}
	whole, rest := int(parts)/of, int(parts)%of
	for rest > 0 && rest%2 == 0 {
		rest, of = rest/2, of/2
	}
	switch {
	case rest == 0:
		return strconv.Itoa(whole)
	case whole == 0:
		return fmt.Sprintf("%d/%d", rest, of)
	}
	return fmt.Sprintf("%d-%d/%d", whole, rest, of)
}
