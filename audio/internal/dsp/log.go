package dsp

import "math"

// Log2 is the binary logarithm of a positive normal number within 5e-8 (the first
// term left out is 2 s^9 log2(e) / 9 = 4.1e-8 at most): exponent plus
// the series 2 (s + s^3/3 + s^5/5 + s^7/7) of the mantissa, s = (m-1)/(m+1), which
// ends soon because |s| < 0.172. Unlike math.Log it is the same code, and so the
// same bits, on every platform, and a few times faster in WebAssembly.
func Log2(x float64) float64 {
	bits := math.Float64bits(x)
	exponent := float64(int(bits>>52)&0x7ff - 1023)
	m := math.Float64frombits(bits&(1<<52-1) | 1023<<52) // 1..2
	if m > math.Sqrt2 {
		m *= 0.5
		exponent++
	}
	s := (m - 1) / (m + 1)
	q := s * s
	return exponent + 2*math.Log2E*s*(1+q*(1.0/3+q*(1.0/5+q*(1.0/7))))
}

// DB is 10 log10 of a power, at least -200 dB.
func DB(power float64) float64 {
	if !(power > 1e-20) {
		return -200
	}
	return 3.0102999566398120 * Log2(power)
}

// Power is the power of a level in dB.
func Power(db float64) float64 { return math.Exp2(db * 0.33219280948873623) }

// Cents is the interval from b up to a in cents. Both must be positive.
func Cents(a, b float64) float64 { return 1200 * Log2(a/b) }
