//go:build !js && !cgo

package device

// port is the stream of a build without cgo: failed from the start.
type port struct{ closed bool }

func open(Options) *port { return &port{} }

func (p *port) state() State {
	if p.closed {
		return Closed
	}
	return Failed
}

func (p *port) err() error {
	if p.closed {
		return nil
	}
	return NoCapture
}

func (p *port) info() Info            { return Info{} }
func (p *port) read(func(Block))      {}
func (p *port) now() int64            { return 0 }
func (p *port) played() int64         { return 0 }
func (p *port) play(int64, []float32) {}
func (p *port) quiet()                {}
func (p *port) late() int64           { return 0 }
func (p *port) slip() int64           { return 0 }
func (p *port) hidden() bool          { return false }
func (p *port) resume()               {}
func (p *port) close()                { p.closed = true }
func (p *port) poll()                 {}
func (p *port) expected() bool        { return false }
func (p *port) fail(Fault)            {}

type list struct{}

func newList() *list                  { return &list{} }
func (l *list) all() []DeviceInfo     { return nil }
func (l *list) outputs() []DeviceInfo { return nil }
func (l *list) refresh()              {}
func (l *list) close()                {}
