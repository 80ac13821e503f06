package stage

import (
	"crypto/sha256"
	"errors"
	"fmt"
	"strings"

	"reedwell/game/session"
	"reedwell/game/shelf"
	"reedwell/levels/lesson"
	"reedwell/levels/link"
	"reedwell/levels/path"
	"reedwell/testdata/lessons"
)

// Names in the store of the lessons and of the text that is being written.
const (
	shelfName  = "lessons"
	shelfAside = "lessons-aside-" // and a name made from what is kept there
	draftName  = "draft"
)

// A library is the lessons that are kept.
type library struct {
	shelf   shelf.Shelf
	dropped []string // IDs, lest another window's copy bring them back
	locked  bool     // what is in the store can not be read and not be put aside: nothing is written
}

// loadShelf reads the lessons and the text that was being written last.
func (s *Stage) loadShelf() {
	if have, ok := s.storedShelf(); ok {
		s.library.shelf = have
	}
	s.showShelf()
	if text := s.load(draftName); len(text) > 0 && len(text) <= shelf.MaxText {
		s.loaded = &session.Loaded{Text: strings.ToValidUTF8(string(text), "\ufffd")}
	}
}

// storedShelf is the shelf in the store. One that can not be read is put aside first.
func (s *Stage) storedShelf() (shelf.Shelf, bool) {
	data := s.load(shelfName)
	if len(data) == 0 {
		return shelf.Shelf{}, false
	}
	have, err := shelf.Decode(data)
	if err == nil {
		return have, true
	}
	sum := sha256.Sum256(data)
	s.library.locked = !s.save(shelfAside+fmt.Sprintf("%.4x", sum[:]), data)
	why := "Your kept lessons were damaged and were put aside."
	if errors.Is(err, shelf.ErrNewer) {
		why = "Your kept lessons are from a newer version of Reedwell and were put aside untouched. Load the newest version to have them."
	}
	s.notices = append(s.notices, session.Notice{ID: "lessons", Text: why})
	return shelf.Shelf{}, false
}

// saveShelf writes the lessons, with what another window has written meanwhile.
func (s *Stage) saveShelf() {
	if s.library.locked {
		s.report(&path.StoreError{Name: shelfName, Err: errors.New("what is there can not be put aside")})
		return
	}
	if other, ok := s.storedShelf(); ok {
		s.library.shelf = s.library.shelf.Join(other, s.library.dropped)
	}
	if !s.library.locked {
		s.save(shelfName, s.library.shelf.Encode())
	}
	s.showShelf()
}

// showShelf hands the lessons at hand to the session.
func (s *Stage) showShelf() {
	all := &session.Shelf{Licks: s.library.shelf.Licks}
	for _, k := range s.library.shelf.Lessons {
		all.Lessons = append(all.Lessons, session.Lesson{ID: k.ID, Text: k.Text})
	}
	for _, name := range lessons.Names() {
		all.Lessons = append(all.Lessons, session.Lesson{ID: "demo-" + name, Text: lessons.Text(name), Demo: true})
	}
	s.lessons = all
}

func (s *Stage) keepLesson(e session.Effect) {
	id := e.ID
	if _, ok := s.library.shelf.Find(id); !ok {
		id = ""
	}
	made, id, err := s.library.shelf.Keep(id, e.Text)
	if err != nil {
		s.notices = append(s.notices, session.Notice{ID: "full", Text: "The lesson can not be kept: " + err.Error() + "."})
		return
	}
	s.library.shelf, s.keptID = made, id
	s.saveShelf()
}

func (s *Stage) dropLesson(id string) {
	s.library.shelf = s.library.shelf.Drop(id)
	s.library.dropped = append(s.library.dropped, id)
	s.saveShelf()
}

// played enters a take of a lick.
func (s *Stage) played(key string, m shelf.Mark) {
	s.library.shelf = s.library.shelf.Played(key, m)
	s.saveShelf()
}

// ---- Links ----

// A Fetched is a file beside the page that was asked for.
type Fetched struct {
	File    string
	Text    []byte
	Problem string // not empty: it could not be had, and why
}

// openLink reads a link for the session.
func (s *Stage) openLink(fragment string) {
	s.fetching = nil
	if link.KindOf(fragment) == link.Week {
		s.readWeek(fragment)
		return
	}
	if link.KindOf(fragment) == link.Drill {
		spec, title, err := link.Decode(fragment)
		l := session.Link{Spec: spec, Title: title}
		if err != nil {
			l.Reason = reason(err)
		}
		s.link = &l
		return
	}
	a, err := lesson.FromLink(fragment)
	switch {
	case err != nil:
		s.link = &session.Link{Reason: reason(err)}
	case a.File != "":
		s.fetching = &a
		s.notices = append(s.notices, session.Notice{ID: session.Fetching, Text: "The lesson " + a.File + " is being loaded."})
		s.o.Outside.Fetch(a.File)
	default:
		s.link = &session.Link{Lesson: &a}
	}
}

// reason is an error of a link as the end of a sentence.
func reason(err error) string { return strings.TrimPrefix(err.Error(), "link: ") }

// fetched takes in a lesson's file. One that was not asked for, or not any more, is left.
func (s *Stage) fetched(f Fetched) {
	a := s.fetching
	if a == nil || a.File != f.File {
		return
	}
	s.fetching = nil
	refuse := func(why string) { s.link = &session.Link{Reason: f.File + ": " + why} }
	if f.Problem != "" {
		refuse(f.Problem)
		return
	}
	if len(f.Text) > lesson.MaxBytes {
		refuse(lesson.ErrTextLong.Error())
		return
	}
	l, problems := lesson.Parse(string(f.Text))
	for _, p := range problems {
		if p.Severity == lesson.Error {
			refuse(fmt.Sprintf("the lesson has a mistake: %.300s", p))
			return
		}
	}
	if a.Lick > len(l.Licks) {
		refuse(lesson.ErrLick.Error())
		return
	}
	a.Lesson = l
	s.link = &session.Link{Lesson: a}
}

// fragment is the link to a lesson, or to one of its licks. Where a link with the whole
// lesson is too long for some programs to pass on, that of a lick carries the lick alone.
func fragment(a lesson.Address) (string, error) {
	whole, err := lesson.Link(a)
	if a.Lick <= 0 || a.File != "" || err == nil && len(whole) <= link.MaxBytes {
		return whole, err
	}
	only, err := lesson.Only(a.Lesson, a.Lick-1)
	if err != nil {
		return "", err
	}
	a.Lesson, a.Lick = only, 1
	return lesson.Link(a)
}

func (s *Stage) copyLesson(a lesson.Address, frame bool) {
	to, err := fragment(a)
	if err != nil {
		s.notices = append(s.notices, session.Notice{ID: "link", Text: "This lesson can not be put in a link: " + reason(err) + "."})
		return
	}
	if !frame {
		s.o.Outside.CopyLink(to)
		return
	}
	title := a.Lesson.Title
	if a.Lick > 0 {
		title += ": " + a.Lesson.Licks[a.Lick-1].Title
	}
	s.o.Outside.CopyText(link.Frame(s.o.Outside.Address(), to, title))
}

// slug is a title as the name of a file: small letters and digits, at most so many.
func slug(title string) string {
	const most = 40
	var b strings.Builder
	for _, r := range strings.ToLower(title) {
		if b.Len() >= most {
			break
		}
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	name := strings.Trim(b.String(), "-")
	if name == "" {
		return "lesson"
	}
	return name
}
