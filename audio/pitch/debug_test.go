package pitch

import (
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"testing"
	"unsafe"
)

func TestDebug(t *testing.T) {
	b, err := os.ReadFile("/tmp/ear/win.f64")
	if err != nil {
		t.Skip()
	}
	_ = binary.LittleEndian
	x := unsafe.Slice((*float64)(unsafe.Pointer(&b[0])), len(b)/8)
	d := New(12000, 125, 3400)
	d.spectrum(x)
	d.findPeaks()
	for _, p := range d.peaks {
		fmt.Printf("peak %.1f Hz %.1f dB g %.2f\n", p.nu*d.binHz, 10*math.Log10(p.pow), p.g)
	}
	var sumG, sumP float64
	for i := range d.peaks {
		sumG += d.peaks[i].g
		sumP += d.peaks[i].pow
	}
	for i, f := range []float64{73.3, 97.7, 110, 130.8, 146.8, 220, 293.7, 294.4, 391.4, 392, 523.3} {
		g, p, e, fit := d.comb(f/d.binHz, uint32(i+1))
		fmt.Printf("%.1f g %.2f p %.2f empty %.2f fit %.1f -> %.3f\n", f, g/sumG, p/sumP, e, fit*d.binHz, .5*g/sumG+.5*p/sumP-e)
	}
}
