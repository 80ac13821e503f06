package session

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"reedwell/levels/lesson"
)

// edit opens the lesson in the player's own editor, where there is no field for it here. A
// lesson that is not begun yet begins as a new one does on the page.
func (s *stepper) edit() {
	if s.draft.text == "" {
		s.rewrite(template)
	}
	s.draft.abroad = true
	s.do(Effect{Kind: EditDraft, Text: s.draft.text})
}

// edited takes over the lesson as it was saved in the editor. What stood here can be brought
// back.
func (s *stepper) edited(text string) {
	switch {
	case !s.draft.abroad:
		s.tell(Notice{"editor", "Another lesson is open here by now, so what you saved in your editor was not read. Press Edit in your own editor to go on with this one, or read that file."})
	case !utf8.ValidString(text):
		s.tell(Notice{"editor", "The file in your editor is no plain text, so it was not read. Save it as plain text (UTF-8)."})
	default:
		s.forget("editor")
		s.rewrite(text)
	}
}

// annotated is a text with its first mistakes under the lines they are in: where no cursor can
// be sent to them, they are shown where they are.
func annotated(text string, problems []lesson.Problem) string {
	lines := strings.Split(text, "\n")
	under := map[int][]string{}
	for i, pr := range problems {
		if pr.Severity == lesson.Error && pr.Line >= 1 && pr.Line <= len(lines) && i < mostProblems {
			under[pr.Line] = append(under[pr.Line], fmt.Sprintf("    ^ mistake at column %d: %s. Right would be: %s.", pr.Column, printed(pr.Got), printed(pr.Want)))
		}
	}
	var out []string
	for i, line := range lines {
		out = append(append(out, line), under[i+1]...)
	}
	return strings.Join(out, "\n")
}
