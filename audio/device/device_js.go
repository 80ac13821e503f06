package device

import (
	"math"
	"strings"
	"syscall/js"
	"time"
	"unsafe"
)

// worklet is the file beside the page that moves the samples on the audio thread.
const worklet = "./duplex.js"

// longestQueue is how many blocks wait for an owner that does not read, a minute and more:
// a page in the background goes on recording while nothing is drawn. What comes after that
// is lost, and the next block read says how much.
const longestQueue = 60 * 96000 / 1024

// port is the stream in the browser. Everything happens on the page's one thread: in the
// calls of the owner, in the goroutine that opens, and in handlers that never block.
type port struct {
	o   Options
	st  State
	why error
	is  Info

	media, track, settings  js.Value
	context, node, channel  js.Value
	handlers                []handler
	muted, settled, arrived bool

	newest, lateFrames int64
	jumps              jumps
	kept               int64 // frame after the last one queued
	queue, spare       []captured
}

type captured struct {
	first, gap int64
	in         []float32
}

type handler struct {
	target js.Value
	event  string
	f      js.Func
}

func open(o Options) *port {
	p := &port{o: o}
	devices := mediaDevices()
	if !devices.Truthy() || !devices.Get("getUserMedia").Truthy() || !js.Global().Get("AudioWorkletNode").Truthy() {
		f := Other
		if !js.Global().Get("isSecureContext").Truthy() {
			f = Insecure
		}
		p.failWith(f, "no microphone or no AudioWorklet in this browser")
		return p
	}
	// Asked for here and not in the goroutine: the browser wants it inside the click.
	media := devices.Call("getUserMedia", constraints(o.DeviceID))
	go p.start(devices, media)
	return p
}

// mediaDevices is undefined where there is no page, and in pages that may not ask.
func mediaDevices() js.Value {
	navigator := js.Global().Get("navigator")
	if !navigator.Truthy() {
		return js.Undefined()
	}
	return navigator.Get("mediaDevices")
}

// constraints ask for the microphone as it is. Only a device the player chose is a
// must; what a browser does not know it ignores.
func constraints(id string) js.Value {
	audio := map[string]any{
		"echoCancellation": false,
		"noiseSuppression": false,
		"autoGainControl":  false,
		"channelCount":     map[string]any{"ideal": 1},
		"latency":          map[string]any{"ideal": 0},
	}
	if id != "" {
		audio["deviceId"] = map[string]any{"exact": id}
	}
	return js.ValueOf(map[string]any{"audio": audio})
}

func (p *port) start(devices, asked js.Value) {
	media, err := await(asked)
	if isError(err) && err.Get("name").String() == "OverconstrainedError" && p.o.DeviceID != "" {
		media, err = await(devices.Call("getUserMedia", constraints("")))
	}
	if isError(err) {
		p.failWith(faultNamed(err.Get("name").String()), words(err))
		return
	}
	p.media, p.track = media, media.Call("getAudioTracks").Index(0)
	p.settings = p.track.Call("getSettings")
	if p.st != Opening { // closed meanwhile
		p.letGo()
		return
	}
	p.on(p.track, "ended", func(js.Value) { p.failWith(Unplugged, "the microphone's track ended") })
	p.on(p.track, "mute", func(js.Value) { p.muted = true })
	p.on(p.track, "unmute", func(js.Value) { p.muted = false })
	p.on(js.Global(), "pagehide", func(js.Value) { p.end(Closed, nil) })

	err = p.connect(0)
	if rate := integer(p.settings.Get("sampleRate")); isError(err) && err.Get("name").String() == "NotSupportedError" && rate > 0 {
		// Firefox connects a microphone only to a context of its own rate.
		p.dropContext()
		err = p.connect(rate)
	}
	if isError(err) {
		p.failWith(faultNamed(err.Get("name").String()), words(err))
		return
	}
	// A context that may run does so at once; one still suspended after this waits for the
	// player.
	time.Sleep(time.Second)
	p.settled = true
	p.look()
}

// connect builds microphone -> worklet -> loudspeaker; rate 0 is the device's own.
func (p *port) connect(rate int) (err js.Value) {
	defer func() {
		switch e := recover().(type) {
		case nil:
		case js.Error: // thrown by one of the calls
			err = e.Value
		default:
			panic(e)
		}
	}()
	options := map[string]any{"latencyHint": "interactive"}
	if p.o.Spare > 0 {
		options["latencyHint"] = p.o.Spare
	}
	if rate > 0 {
		options["sampleRate"] = rate
	}
	context := js.Global().Get("AudioContext").New(options)
	p.context = context
	p.on(context, "statechange", func(js.Value) { p.look() })
	source := context.Call("createMediaStreamSource", p.media)
	// Asked before anything is waited for; where a gesture is needed it may be still good.
	context.Call("resume").Call("catch", js.Global().Get("Function").Get("prototype"))
	if _, err := await(context.Get("audioWorklet").Call("addModule", worklet)); isError(err) {
		return err
	}
	if p.o.OutputID != "" && choosesOutput() {
		// Audio Output Devices API. An output that is gone leaves the system's choice.
		if _, err := await(context.Call("setSinkId", p.o.OutputID)); !isError(err) {
			p.is.OutputID = p.o.OutputID
		}
	}
	if p.st != Opening {
		return js.Undefined()
	}
	p.node = js.Global().Get("AudioWorkletNode").New(context, "duplex", map[string]any{
		"numberOfInputs": 1, "numberOfOutputs": 1, "outputChannelCount": []any{2},
		"channelCount": 1, "channelCountMode": "explicit",
	})
	p.channel = p.node.Get("port")
	p.on(p.node, "processorerror", func(js.Value) { p.failWith(Other, "the audio worklet failed") })
	p.on(p.channel, "message", func(e js.Value) { p.receive(e.Get("data")) })
	p.channel.Call("start")
	source.Call("connect", p.node)
	p.node.Call("connect", context.Get("destination"))
	p.is.Rate = integer(context.Get("sampleRate"))
	p.look()
	return js.Undefined()
}

// receive takes a block and sends its buffer back at once.
func (p *port) receive(m js.Value) {
	buffer := m.Get("pcm")
	var b captured
	if n := len(p.spare); n > 0 {
		b, p.spare = p.spare[n-1], p.spare[:n-1]
	}
	n := m.Get("n").Int()
	if cap(b.in) < n {
		b.in = make([]float32, n)
	}
	b.in = b.in[:n]
	js.CopyBytesToGo(bytes(b.in), js.Global().Get("Uint8Array").New(buffer))
	b.first = integer64(m.Get("first"))
	p.lateFrames = integer64(m.Get("late"))
	p.newest = b.first + int64(n)
	wall := js.Global().Get("performance").Call("now").Float() / 1000
	p.jumps.add(int64(wall*float64(p.is.Rate))-p.newest, n, p.is.Rate)
	if !p.arrived {
		p.arrived = true
		p.kept = b.first - integer64(m.Get("gap"))
	}
	if len(p.queue) < longestQueue {
		b.gap = b.first - p.kept
		p.kept = p.newest
		p.queue = append(p.queue, b)
	} else {
		p.spare = append(p.spare, b)
	}
	p.channel.Call("postMessage", buffer, []any{buffer})
}

// bytes sees floats as the bytes of a typed array: WebAssembly and typed arrays are both
// little-endian.
func bytes(x []float32) []byte {
	if len(x) == 0 {
		return nil
	}
	return unsafe.Slice((*byte)(unsafe.Pointer(&x[0])), 4*len(x))
}

func (p *port) read(f func(Block)) {
	for i := 0; i < len(p.queue); i++ {
		b := p.queue[i]
		f(Block{First: b.first, Gap: b.gap, In: b.in})
		p.spare = append(p.spare, b)
	}
	p.queue = p.queue[:0]
}

func (p *port) play(at int64, samples []float32) {
	if p.st >= Failed || !p.channel.Truthy() {
		return
	}
	for len(samples) > 0 {
		n := min(len(samples), p.is.Rate) // at most a second a message, so that no copy is long
		pcm := js.Global().Get("Uint8Array").New(4 * n)
		js.CopyBytesToJS(pcm, bytes(samples[:n]))
		buffer := pcm.Get("buffer")
		p.channel.Call("postMessage", map[string]any{"at": float64(at), "pcm": buffer}, []any{buffer})
		at, samples = at+int64(n), samples[n:]
	}
}

func (p *port) quiet() {
	if p.st < Failed && p.channel.Truthy() {
		p.channel.Call("postMessage", map[string]any{"quiet": true})
	}
}

// look brings the state up to date with the browser's.
func (p *port) look() {
	if p.st >= Failed || !p.channel.Truthy() {
		return
	}
	context := p.context.Get("state").String()
	if !p.arrived && !p.settled {
		return
	}
	switch {
	case context == "closed":
		p.failWith(Unplugged, "the audio context was closed")
	case context != "running":
		p.st, p.why = Suspended, because(Interrupted, "audio context "+context)
	case p.muted:
		p.st, p.why = Suspended, because(Interrupted, "microphone muted by the system")
	case p.arrived:
		p.st, p.why = Running, nil
	}
}

func (p *port) resume() {
	if p.context.Truthy() && p.context.Get("state").String() == "suspended" {
		p.context.Call("resume").Call("catch", js.Global().Get("Function").Get("prototype"))
	}
}

func (p *port) info() Info {
	if p.st == Opening || !p.track.Truthy() || p.is.Rate == 0 {
		return Info{}
	}
	if p.context.Truthy() { // a stream that is over still says what it was
		if l := p.context.Get("outputLatency"); l.Type() == js.TypeNumber && !math.IsNaN(l.Float()) {
			p.is.OutputLatency = l.Float()
		}
	}
	i := p.is
	i.InputLabel = p.track.Get("label").String()
	i.InputID = text(p.settings.Get("deviceId"))
	i.InputRate = integer(p.settings.Get("sampleRate"))
	// Read back: what was asked for may have been ignored.
	i.EchoCancellation = p.settings.Get("echoCancellation").Truthy()
	i.NoiseSuppression = p.settings.Get("noiseSuppression").Truthy()
	i.AutoGain = p.settings.Get("autoGainControl").Truthy()
	return i.finish(p.o)
}

func (p *port) state() State { p.look(); return p.st }
func (p *port) err() error   { p.look(); return p.why }
func (p *port) now() int64   { return p.newest }

// played is as now: one worklet does both.
func (p *port) played() int64 { return p.newest }

func (p *port) late() int64  { return p.lateFrames }
func (p *port) slip() int64  { return p.jumps.total }
func (p *port) close()       { p.end(Closed, nil) }
func (p *port) poll()        { p.look() }
func (p *port) fail(f Fault) { p.failWith(f, "") }

func (p *port) hidden() bool {
	return js.Global().Get("document").Truthy() && js.Global().Get("document").Get("visibilityState").String() == "hidden"
}

// expected is whether samples should be coming: the graph stands and the context runs.
func (p *port) expected() bool {
	return p.st < Failed && p.channel.Truthy() && p.context.Get("state").String() == "running"
}

func (p *port) failWith(f Fault, detail string) { p.end(Failed, because(f, detail)) }

func (p *port) end(st State, why error) {
	if p.st == Closed || p.st == st {
		return
	}
	p.st, p.why = st, why
	p.letGo()
}

// letGo stops the microphone, closes the context and forgets every handler.
func (p *port) letGo() {
	if p.track.Truthy() {
		p.track.Call("stop")
	}
	p.dropContext()
	for _, h := range p.handlers {
		h.target.Call("removeEventListener", h.event, h.f)
		h.f.Release()
	}
	p.handlers = nil
}

func (p *port) dropContext() {
	if p.channel.Truthy() {
		p.channel.Call("postMessage", map[string]any{"close": true})
		p.node.Call("disconnect")
	}
	if p.context.Truthy() && p.context.Get("state").String() != "closed" {
		p.context.Call("close").Call("catch", js.Global().Get("Function").Get("prototype"))
	}
	p.context, p.node, p.channel = js.Undefined(), js.Undefined(), js.Undefined()
}

func (p *port) on(target js.Value, event string, f func(js.Value)) {
	p.handlers = append(p.handlers, listen(target, event, f))
}

func listen(target js.Value, event string, f func(js.Value)) handler {
	h := handler{target, event, js.FuncOf(func(_ js.Value, args []js.Value) any {
		f(args[0])
		return nil
	})}
	target.Call("addEventListener", event, h.f)
	return h
}

// faultNamed translates the names of DOMExceptions as Media Capture and Streams gives them.
func faultNamed(name string) Fault {
	switch name {
	case "NotAllowedError", "SecurityError":
		return Refused
	case "NotFoundError":
		return Missing
	case "NotReadableError":
		return Busy
	}
	return Other
}

// await waits in a goroutine for a promise; one of the results is undefined.
func await(promise js.Value) (value, err js.Value) {
	done := make(chan struct{})
	good := js.FuncOf(func(_ js.Value, args []js.Value) any { value = args[0]; close(done); return nil })
	bad := js.FuncOf(func(_ js.Value, args []js.Value) any { err = args[0]; close(done); return nil })
	defer good.Release()
	defer bad.Release()
	promise.Call("then", good, bad)
	<-done
	return value, err
}

func isError(v js.Value) bool { return v.Truthy() }

func words(err js.Value) string {
	return strings.TrimSpace(err.Get("name").String() + ": " + text(err.Get("message")))
}

func text(v js.Value) string {
	if v.Type() != js.TypeString {
		return ""
	}
	return v.String()
}

func integer(v js.Value) int { return int(integer64(v)) }

// integer64 is exact up to 2^53, which at 96 kHz is three thousand years.
func integer64(v js.Value) int64 {
	if v.Type() != js.TypeNumber {
		return 0
	}
	return int64(v.Float())
}

// choosesOutput reports whether this browser lets a page choose where its sound goes.
func choosesOutput() bool {
	context := js.Global().Get("AudioContext")
	return context.Truthy() && context.Get("prototype").Get("setSinkId").Truthy()
}

// list is the inputs and outputs as last listed.
type list struct {
	last    []DeviceInfo
	outs    []DeviceInfo
	devices js.Value
	change  handler
	heard   bool
}

func newList() *list {
	l := &list{devices: mediaDevices()}
	if l.devices.Truthy() {
		l.change = listen(l.devices, "devicechange", func(js.Value) { l.refresh() })
		l.heard = true
		l.refresh()
	}
	return l
}

func (l *list) all() []DeviceInfo     { return l.last }
func (l *list) outputs() []DeviceInfo { return l.outs }

func (l *list) refresh() {
	if !l.devices.Truthy() {
		return
	}
	promise := l.devices.Call("enumerateDevices")
	go func() {
		found, err := await(promise)
		if isError(err) {
			return
		}
		var inputs, outputs []DeviceInfo
		choose := choosesOutput()
		for i := range found.Length() {
			d := found.Index(i)
			id := text(d.Get("deviceId"))
			is := DeviceInfo{ID: id, Label: text(d.Get("label")), Default: id == "default"}
			switch kind := d.Get("kind").String(); {
			case kind == "audioinput":
				inputs = append(inputs, is)
			case kind == "audiooutput" && choose && is.Label != "":
				outputs = append(outputs, is)
			}
		}
		l.last, l.outs = inputs, outputs
	}()
}

func (l *list) close() {
	if l.heard {
		l.change.target.Call("removeEventListener", l.change.event, l.change.f)
		l.change.f.Release()
		l.heard = false
	}
}
