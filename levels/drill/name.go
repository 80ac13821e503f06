package drill

import (
	"fmt"
	"strings"
)

// Name is what a drill is called where those of all families are named together, as "Bend ladder
// 2: 4 draw, straight to the half step".
func Name(f Family, level int, title string) string {
	return fmt.Sprintf("%s %d: %s", f.Name(), level, Short(title))
}

// Short is a title where it follows a colon.
func Short(title string) string { return strings.Replace(title, ": ", ", ", 1) }
