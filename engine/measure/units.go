// Package measure holds the quantities of the shop as named types and the only conversions between them:
// lengths, temperatures, and hardness by published tables.
//
// Nothing is extrapolated or clipped: a value outside a table is an error that says which range holds.
package measure

// MM is a length in millimetres, Inch one in inches.
type (
	MM   float64
	Inch float64
)

// mmPerInch is exact by definition (international yard and pound agreement, 1959).
const mmPerInch = 25.4

// MM is the length in millimetres.
func (l Inch) MM() MM { return MM(l * mmPerInch) }

// Inch is the length in inches.
func (l MM) Inch() Inch { return Inch(l / mmPerInch) }

// Celsius is a temperature in °C, Fahrenheit one in °F.
type (
	Celsius    float64
	Fahrenheit float64
)

// AbsoluteZero is the lowest temperature there is.
const AbsoluteZero Celsius = -273.15

// Fahrenheit is the temperature in °F.
func (t Celsius) Fahrenheit() Fahrenheit { return Fahrenheit(t*9/5 + 32) }

// Celsius is the temperature in °C.
func (t Fahrenheit) Celsius() Celsius { return Celsius((t - 32) * 5 / 9) }

// CelsiusDifference is a difference between two temperatures in °C, FahrenheitDifference one in °F. They
// are types of their own because the 32 degrees of the zero point must not come in: 50 °C more is 90 °F more.
type (
	CelsiusDifference    float64
	FahrenheitDifference float64
)

// Fahrenheit is the difference in °F.
func (d CelsiusDifference) Fahrenheit() FahrenheitDifference { return FahrenheitDifference(d * 9 / 5) }

// Celsius is the difference in °C.
func (d FahrenheitDifference) Celsius() CelsiusDifference { return CelsiusDifference(d * 5 / 9) }

// WtPct is a share of mass in percent.
type WtPct float64
