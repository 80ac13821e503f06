package screen

// An Action is something the player did to an item.
type Action struct {
	ID    string
	Value string  // of a Field, Select or Choice
	Now   float64 // of a Slider
	On    bool    // of a Toggle
	Bytes []byte  // of a File
	Name  string  // of a File
}
