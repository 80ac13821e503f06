package device

// A DeviceInfo is one input or output that can be opened. In the browser Label and ID are empty
// until the player has allowed a microphone once.
type DeviceInfo struct {
	ID, Label string
	Default   bool
}

// Inputs keeps the list of input devices, and of outputs where one can be chosen, refreshed when the system says it changed.
type Inputs struct{ list *list }

// NewInputs starts to list the devices and returns at once.
func NewInputs() *Inputs { return &Inputs{list: newList()} }

// All is the list as last known; the caller's to keep.
func (i *Inputs) All() []DeviceInfo { return append([]DeviceInfo(nil), i.list.all()...) }

// Outputs is the list of outputs as last known, empty where the program can not choose; the
// caller's to keep.
func (i *Inputs) Outputs() []DeviceInfo { return append([]DeviceInfo(nil), i.list.outputs()...) }

// Refresh asks again: after a microphone was allowed, and when the page is back in view,
// because some browsers do not tell of changes.
func (i *Inputs) Refresh() { i.list.refresh() }

// Close stops following changes.
func (i *Inputs) Close() { i.list.close() }
