//go:build cgo && !js

package device

import (
	"errors"
	"runtime"
	"slices"
	"sync"
	"time"
	"unsafe"

	"github.com/gen2brain/malgo"
)

// The input is read in short steps, so that what is played shows soon. The output may be
// buffered longer: what is sounded is known beforehand and its delay is measured. In a
// PulseAudio whose input hears its output the round trip crept from 476 to 773 frames in
// 20 s with output periods of 256 frames, as the output ran dry again and again; with 480 it
// moved once, with 960 not at all.
const (
	desktopRate = 48000 // Hz, what nearly every sound card runs at
	inputPeriod = 256   // frames
	soundPeriod = 960   // frames
)

// nullBackend is miniaudio's ma_backend_null. The binding's own constant is 13, which in
// the miniaudio it carries is the custom backend.
const nullBackend = malgo.Backend(14)

// port is the stream on miniaudio. Opening can take a second, so a goroutine does it.
type port struct {
	o      Options
	engine *engine

	mu      sync.Mutex
	st      State
	why     error
	details Info
	opened  opened

	searching sync.Once // for a device that has fallen silent
}

// opened is what must be let go again.
type opened struct {
	context       *malgo.AllocatedContext
	input, output *malgo.Device
}

func open(o Options) *port { return openOn(o, nil) }

// openOn opens with the given backends, nil for the system's usual ones.
func openOn(o Options, backends []malgo.Backend) *port {
	p := &port{o: o, engine: &engine{}}
	go p.start(backends)
	return p
}

func (p *port) start(backends []malgo.Backend) {
	o := opened{}
	err := o.open(p, backends)
	if err != nil {
		o.shut()
		p.failWith(fault(err), err)
		return
	}
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.st != Opening { // closed or unplugged meanwhile
		go o.shut()
		return
	}
	p.st, p.opened = Running, o
	p.details = p.details.finish(p.o)
}

// open starts an input and an output. They are two devices although the library offers one
// for both: that one joins two by a buffer of its own, ends a callback short when the input
// is late and so fills the output with silence that nobody can count, and it knows one
// period for both.
func (o *opened) open(p *port, backends []malgo.Backend) (err error) {
	if o.context, err = malgo.InitContext(backends, malgo.ContextConfig{}, nil); err != nil {
		return err
	}
	details := Info{Rate: desktopRate}
	id, err := o.choose(p.o.DeviceID, &details)
	if err != nil {
		return err
	}
	outID, err := o.chooseOutput(p.o.OutputID, &details)
	if err != nil {
		return err
	}
	in := configuration(malgo.Capture, inputPeriod)
	in.Capture.Format, in.Capture.Channels = malgo.FormatF32, 1
	var pin runtime.Pinner // the C configuration points at the ID until InitDevice returns
	defer pin.Unpin()
	if id != nil {
		pin.Pin(id)
		in.Capture.DeviceID = unsafe.Pointer(id)
	}
	out := configuration(malgo.Playback, soundPeriod+int(p.o.Spare*desktopRate))
	out.Playback.Format, out.Playback.Channels = malgo.FormatF32, 2
	if outID != nil {
		pin.Pin(outID)
		out.Playback.DeviceID = unsafe.Pointer(outID)
	}

	if o.input, err = malgo.InitDevice(o.context.Context, in, malgo.DeviceCallbacks{
		Data: func(_, in []byte, _ uint32) { p.engine.capture(floats(in)) }, Stop: p.stopped}); err != nil {
		return err
	}
	if o.output, err = malgo.InitDevice(o.context.Context, out, malgo.DeviceCallbacks{
		Data: func(out, _ []byte, _ uint32) { p.engine.sound(floats(out)) }, Stop: p.stopped}); err != nil {
		return err
	}
	if err = o.input.Start(); err != nil {
		return err
	}
	if err = o.output.Start(); err != nil {
		return err
	}
	p.locked(func() { p.details = details })
	return nil
}

func configuration(kind malgo.DeviceType, period int) malgo.DeviceConfig {
	c := malgo.DefaultDeviceConfig(kind)
	c.SampleRate = desktopRate
	c.PeriodSizeInFrames = uint32(period)
	return c
}

// choose finds the input with an ID, or the system's own choice when there is none such: nil.
func (o *opened) choose(id string, details *Info) (*malgo.DeviceID, error) {
	inputs, err := o.context.Devices(malgo.Capture)
	if err != nil {
		return nil, err
	}
	if len(inputs) == 0 {
		return nil, malgo.ErrNoDevice
	}
	k := slices.IndexFunc(inputs, func(d malgo.DeviceInfo) bool { return d.ID.String() == id })
	chosen := k >= 0
	if !chosen {
		k = slices.IndexFunc(inputs, func(d malgo.DeviceInfo) bool { return d.IsDefault != 0 })
	}
	if k < 0 {
		return nil, nil
	}
	details.InputID, details.InputLabel = inputs[k].ID.String(), inputs[k].Name()
	if full, err := o.context.DeviceInfo(malgo.Capture, inputs[k].ID, malgo.Shared); err == nil && len(full.Formats) == 1 {
		details.InputRate = int(full.Formats[0].SampleRate)
	}
	if !chosen {
		return nil, nil
	}
	return &inputs[k].ID, nil
}

// chooseOutput finds the output with an ID, or the system's own choice when there is none
// such: nil.
func (o *opened) chooseOutput(id string, details *Info) (*malgo.DeviceID, error) {
	outputs, err := o.context.Devices(malgo.Playback)
	if err != nil {
		return nil, err
	}
	for k, d := range outputs {
		if d.ID.String() == id {
			details.OutputID, details.OutputLabel = id, d.Name()
			return &outputs[k].ID, nil
		}
	}
	for _, d := range outputs {
		if d.IsDefault != 0 {
			details.OutputLabel = d.Name()
		}
	}
	return nil, nil
}

// shut lets go of whatever was opened; it waits for the device's threads.
func (o *opened) shut() {
	for _, d := range []*malgo.Device{o.input, o.output} {
		if d != nil {
			d.Uninit()
		}
	}
	if o.context != nil {
		release(o.context)
	}
}

// floats sees native 32-bit floats in bytes, as miniaudio's f32 format is defined.
func floats(b []byte) []float32 {
	if len(b) == 0 {
		return nil
	}
	return unsafe.Slice((*float32)(unsafe.Pointer(&b[0])), len(b)/4)
}

// stopped is called when the device stops without being asked.
func (p *port) stopped() { go p.fail(Unplugged) }

// fault translates miniaudio's results.
func fault(err error) Fault {
	for _, c := range []struct {
		fault   Fault
		results []error
	}{
		{Missing, []error{malgo.ErrNoBackend, malgo.ErrNoDevice, malgo.ErrDoesNotExist}},
		{Refused, []error{malgo.ErrAccessDenied}},
		{Busy, []error{malgo.ErrBusy, malgo.ErrAlreadyInUse, malgo.ErrUnavailable, malgo.ErrIO,
			malgo.ErrFailedToInitBackend, malgo.ErrFailedToOpenBackendDevice, malgo.ErrFailedToStartBackendDevice}},
	} {
		for _, r := range c.results {
			if errors.Is(err, r) {
				return c.fault
			}
		}
	}
	return Other
}

func (p *port) failWith(f Fault, err error) {
	detail := ""
	if err != nil {
		detail = err.Error()
	}
	p.end(Failed, because(f, detail))
}

// end makes the stream Failed or Closed and lets the device go, which waits for its thread
// and is therefore done aside.
func (p *port) end(st State, why error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.st == Closed || p.st == st {
		return
	}
	p.st, p.why = st, why
	go func(o opened) { o.shut() }(p.opened)
	p.opened = opened{}
}

func release(context *malgo.AllocatedContext) {
	// Nothing can be done about a context that does not let go; its memory is freed anyway.
	_ = context.Uninit()
	context.Free()
}

// fail ends the stream. Some systems do not say that a device was taken out, it only falls
// silent; so then it is looked for.
func (p *port) fail(f Fault) {
	if f != Stalled {
		p.failWith(f, nil)
		return
	}
	p.searching.Do(func() {
		go func() {
			if p.gone() {
				f = Unplugged
			}
			p.failWith(f, nil)
		}()
	})
}

// searchTime is how long a sound system may take to list its devices: it may hang as the
// stream does. Ours.
const searchTime = time.Second

// gone reports that the input or the output is not listed any more.
func (p *port) gone() bool {
	is := p.info()
	found := make(chan bool, 1)
	go func() {
		context, err := malgo.InitContext(nil, malgo.ContextConfig{}, nil)
		if err != nil {
			found <- false
			return
		}
		defer release(context)
		ins, err := context.Devices(malgo.Capture)
		outs, err2 := context.Devices(malgo.Playback)
		lost := func(devices []malgo.DeviceInfo, id, label string) bool {
			return (id != "" || label != "") && !slices.ContainsFunc(devices, func(d malgo.DeviceInfo) bool {
				return id != "" && d.ID.String() == id || id == "" && d.Name() == label
			})
		}
		found <- err == nil && err2 == nil && (lost(ins, is.InputID, is.InputLabel) || lost(outs, is.OutputID, is.OutputLabel))
	}()
	select {
	case gone := <-found:
		return gone
	case <-time.After(searchTime):
		return false
	}
}

func (p *port) locked(f func()) {
	p.mu.Lock()
	defer p.mu.Unlock()
	f()
}

func (p *port) state() (s State)           { p.locked(func() { s = p.st }); return s }
func (p *port) err() (e error)             { p.locked(func() { e = p.why }); return e }
func (p *port) info() (i Info)             { p.locked(func() { i = p.details }); return i }
func (p *port) read(f func(Block))         { p.engine.drain(f) }
func (p *port) now() int64                 { return p.engine.frame.Load() }
func (p *port) played() int64              { return p.engine.played.Load() }
func (p *port) play(at int64, x []float32) { p.engine.play(at, slices.Clone(x)) }
func (p *port) quiet()                     { p.engine.quiet() }
func (p *port) late() int64                { return p.engine.late.Load() }
func (p *port) slip() int64                { return p.engine.slip.Load() }
func (p *port) hidden() bool               { return false }
func (p *port) resume()                    {}
func (p *port) close()                     { p.end(Closed, nil) }
func (p *port) poll()                      { p.engine.hand() }
func (p *port) expected() bool             { return p.state() == Running }

// list is the inputs and outputs as last listed.
type list struct {
	mu       sync.Mutex
	last     []DeviceInfo
	lastOuts []DeviceInfo
}

func newList() *list {
	l := &list{}
	l.refresh()
	return l
}

func (l *list) all() []DeviceInfo {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.last
}

func (l *list) outputs() []DeviceInfo {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.lastOuts
}

func (l *list) refresh() {
	go func() {
		context, err := malgo.InitContext(nil, malgo.ContextConfig{}, nil)
		if err != nil {
			return // no sound system: the list stays as it is; opening says why
		}
		defer release(context)
		inputs, err := context.Devices(malgo.Capture)
		if err != nil {
			return
		}
		outputs, err := context.Devices(malgo.Playback)
		if err != nil {
			return
		}
		l.mu.Lock()
		defer l.mu.Unlock()
		l.last, l.lastOuts = described(inputs), described(outputs)
	}()
}

func described(devices []malgo.DeviceInfo) []DeviceInfo {
	out := make([]DeviceInfo, len(devices))
	for i, d := range devices {
		out[i] = DeviceInfo{ID: d.ID.String(), Label: d.Name(), Default: d.IsDefault != 0}
	}
	return out
}

func (l *list) close() {}
