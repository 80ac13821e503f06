package dsp

import "math"

// HannKernel is the spectrum of a Hann window, periodic over N samples, d bins off
// its centre, with 1 at the centre: sinc(d) / (1 - d^2), the limit for large N
// (Harris 1978, Proc. IEEE 66:51). It errs by less than 1e-5 at N = 512.
func HannKernel(d float64) float64 {
	return HannKernelSin(d, math.Sin(math.Pi*d))
}

// HannKernelSin is HannKernel for callers that know sin(pi d).
func HannKernelSin(d, sin float64) float64 {
	if d < 0 {
		d, sin = -d, -sin
	}
	switch {
	case d < 1e-6:
		return 1
	case d > 1-1e-6 && d < 1+1e-6:
		return 0.5
	}
	return sin / (math.Pi * d * (1 - d*d))
}
