package measure

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// maxDenominator is the finest division of a common inch rule.
const maxDenominator = 64

// fractionSigns spells out the fractions that a phone keyboard offers as one sign.
var fractionSigns = strings.NewReplacer("½", " 1/2", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8")

// ParseInch reads a length as it is written in inches, without its unit: "3/4", "1-1/2", "1 1/2", "1.5",
// "½", "1½". A denominator must be a power of two up to 64, as on a rule.
func ParseInch(text string) (Inch, error) {
	text = strings.TrimSpace(text)
	text = strings.TrimSpace(fractionSigns.Replace(text))
	whole, fraction := "", text
	if i := strings.LastIndexAny(text, " -"); i > 0 && strings.Contains(text, "/") {
		whole, fraction = strings.TrimSpace(text[:i]), text[i+1:]
	}
	numerator, denominator, isFraction := strings.Cut(fraction, "/")
	if !isFraction {
		v, err := strconv.ParseFloat(fraction, 64)
		if err != nil || !(v >= 0) || math.IsInf(v, 0) {
			return 0, inchError(text)
		}
		return Inch(v), nil
	}
	w := 0
	if whole != "" {
		v, err := strconv.ParseUint(whole, 10, 31)
		if err != nil {
			return 0, inchError(text)
		}
		w = int(v)
	}
	n, errN := strconv.ParseUint(numerator, 10, 31)
	d, errD := strconv.ParseUint(denominator, 10, 31)
	if errN != nil || errD != nil || d < 2 || d > maxDenominator || d&(d-1) != 0 || whole != "" && n >= d {
		return 0, inchError(text)
	}
	return Inch(float64(w) + float64(n)/float64(d)), nil
}

func inchError(text string) error {
	return fmt.Errorf("%q is no length in inches; write 3/4, 1-1/2 or 1.5", text)
}

// Fraction is the length to the nearest 1/denominator of an inch, in the way of a rule: "1-1/2", "3/4",
// "2". The denominator is a power of two up to 64; any other counts as 16.
func (l Inch) Fraction(denominator int) string {
	if denominator < 1 || denominator > maxDenominator || denominator&(denominator-1) != 0 {
		denominator = 16
	}
	parts := int64(math.Round(float64(l) * float64(denominator)))
	whole, rest, d := parts/int64(denominator), parts%int64(denominator), int64(denominator)
	for rest != 0 && rest%2 == 0 {
		rest, d = rest/2, d/2
	}
	switch {
	case rest == 0:
		return strconv.FormatInt(whole, 10)
	case whole == 0:
		return fmt.Sprintf("%d/%d", rest, d)
	default:
		return fmt.Sprintf("%d-%d/%d", whole, rest, d)
	}
}
