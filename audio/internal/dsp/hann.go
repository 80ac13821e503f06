package dsp

import "math"

// HannKernel is the spectrum of a Hann window, periodic over N samples, d bins off
// its centre, with 1 at the centre: sinc(d) / (1 - d^2), the limit for large N
// (Harris 1978, Proc. IEEE 66:51). It errs by less than 1e-5 at N = 512.
//
// Up to one bin off it is summed as its power series in d^2, whose coefficients are the partial sums of that of
// sinc(1): from the eleventh on they are left out, 1.6e-10 at most. That is quicker than a sine.
func HannKernel(d float64) float64 {
	if q := d * d; q < 1 {
		return 1 + q*(-0.644934066848226436+q*(0.166808358435127207+q*(-0.0239434656869570065+q*(0.00220438213069779397+
			q*(-0.000141698904758029665+q*(6.72988827304133894e-6+q*(-2.4598538861504153e-7+q*(7.13635179866123529e-9+q*-1.68360023556539504e-10))))))))
	}
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
