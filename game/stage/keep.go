package stage

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"

	"reedwell/game/session"
	"reedwell/levels/drill"
	"reedwell/levels/link"
	"reedwell/levels/path"
)

// Names in the store, besides those of path.Keeper.
const (
	settingsName  = "settings"
	settingsAside = "settings-aside"
	takeName      = "take" // the take that is going on
)

// load reads a name from the store; nothing there is no error.
func (s *Stage) load(name string) []byte {
	data, err := s.o.Store.Load(name)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		s.report(&path.StoreError{Name: name, Err: err})
		return nil
	}
	return data
}

func (s *Stage) save(name string, data []byte) bool {
	if err := s.o.Store.Save(name, data); err != nil {
		s.report(&path.StoreError{Name: name, Err: err})
		return false
	}
	return true
}

func (s *Stage) loadSettings() session.Settings {
	data := s.load(settingsName)
	if len(data) == 0 {
		return session.DefaultSettings()
	}
	settings, err := session.DecodeSettings(data)
	if err != nil {
		why := "were damaged"
		if errors.Is(err, session.ErrNewer) {
			why = "are from a newer version of Reedwell"
		}
		s.save(settingsAside, data)
		s.notices = append(s.notices, session.Notice{ID: "settings", Text: "Your settings " + why + " and were put aside. Please choose your harp again."})
	}
	return settings
}

// report turns what went wrong with the store into words.
func (s *Stage) report(err error) {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			s.report(e)
		}
		return
	}
	var aside *path.AsideError
	var store *path.StoreError
	n := session.Notice{ID: "store", Text: "Your progress could not be kept on this device: " + err.Error()}
	switch {
	case errors.As(err, &aside) && errors.Is(err, path.ErrNewer):
		n = session.Notice{ID: "newer", Text: "Your stored progress is from a newer version of Reedwell. It was put aside untouched. Load the newest version to go on with it."}
	case errors.As(err, &aside):
		n = session.Notice{ID: "damaged", Text: "A part of your stored progress was damaged. It was put aside, and what could be read is kept. If you have a copy, read it under Settings."}
	case errors.As(err, &store):
		n = session.Notice{ID: "store", Text: "Your progress can not be kept on this device: its storage is full or closed. You can play on; save a copy under Settings before you leave."}
	}
	s.notices = append(s.notices, n)
}

// going is what is stored while a take goes on.
type going struct {
	Drill string `json:"drill"`
}

// remember stores that a take goes on.
func (s *Stage) remember(d drill.Drill) {
	data, err := json.Marshal(going{d.ID})
	if err != nil {
		panic("stage: " + err.Error()) // a string can be written
	}
	s.save(takeName, data)
}

// forget stores that no take goes on.
func (s *Stage) forget() {
	s.save(takeName, nil)
	if s.o.Vault != nil {
		s.o.Vault.Drop()
	}
}

// mention tells of a take that never ended.
func (s *Stage) mention() {
	data := s.load(takeName)
	if len(data) == 0 {
		return
	}
	var g going
	what := "Your last take"
	if json.Unmarshal(data, &g) == nil {
		for _, d := range s.list {
			if d.ID == g.Drill {
				what = fmt.Sprintf("Your last take of %q", d.Title)
			}
		}
	}
	s.save(takeName, nil)
	s.notices = append(s.notices, session.Notice{ID: session.LostTake, Text: what + " was cut off before it ended and is not counted. Everything before it is kept."})
}

// renew works out the entries of the path for the session.
func (s *Stage) renew() {
	s.day = s.o.Outside.Today()
	have := s.keeper.Progress()
	s.practised()
	today := s.practice.Today
	due, rusty := map[string]bool{}, map[string]bool{}
	if today != 0 {
		for _, id := range s.way.Due(have, today) {
			due[id] = true
		}
		for _, id := range s.way.Rusty(have, today) {
			rusty[id] = true
		}
	}
	suggested := map[drill.Family]int{}
	s.entries = make([]session.Entry, 0, len(s.list))
	for _, d := range s.list {
		e := session.Entry{
			ID: d.ID, Family: d.Family, Level: d.Level, Title: d.Title, Words: d.Words, Tempo: d.Tempo,
			Due: due[d.ID], Rusty: rusty[d.ID], Lately: lately(have, d.ID), Display: have.Display(d.ID),
		}
		if last := have.Upkeep(d.ID, today).Last; last != 0 {
			e.Well = last.Words()
		}
		e.Advised, e.Change = have.Suggest(d.ID, d.Tempo)
		switch s.way.State(have, d.ID) {
		case path.Open:
			e.Standing = session.Open
		case path.Passed:
			e.Standing = session.Passed
		case path.Mastered:
			e.Standing = session.Confirmed
		}
		// What is due comes first, then the first that is open.
		rank := 0
		switch {
		case e.Due:
			rank = 2
		case e.Standing == session.Open:
			rank = 1
		}
		if k, ok := suggested[d.Family]; rank > 0 && (!ok || rank == 2 && !s.entries[k].Due) {
			if ok {
				s.entries[k].Next = false
			}
			suggested[d.Family] = len(s.entries)
			e.Next = true
		}
		s.entries = append(s.entries, e)
	}
}

// lately says how the last takes of a drill went and what is missing.
func lately(have path.Progress, id string) string {
	st := have.Standing(id)
	if have.Mastered(id) != 0 || len(st.Last) == 0 {
		return ""
	}
	if have.Passed(id) != 0 {
		return "Play it well once more on another day to confirm it."
	}
	words := fmt.Sprintf("%d of the last %d takes good, %d needed", st.Good, len(st.Last), st.Needed)
	if len(st.Last) == 1 {
		words = fmt.Sprintf("%d take of 1 good, %d needed", st.Good, st.Needed)
	}
	if !st.Blind {
		words += ", one of them without seeing what you play"
	}
	return words + "."
}

func (s *Stage) importProgress(data []byte) {
	n := session.Notice{ID: "import", Text: "The copy was read and added to your progress."}
	err := s.keeper.Import(data)
	var store *path.StoreError
	switch {
	case errors.As(err, &store):
		s.report(err)
	case errors.Is(err, path.ErrNewer):
		n.Text = "The copy is from a newer version of Reedwell. Load the newest version and read it again. Nothing was changed."
	case errors.Is(err, path.ErrTooLarge), errors.Is(err, path.ErrDamaged):
		n.Text = "This file is not a whole copy of progress. Choose another. Nothing was changed."
	case err != nil:
		s.report(err)
	}
	s.notices = append(s.notices, n)
	s.renew()
}

func (s *Stage) copyLink(e session.Effect) {
	fragment, err := link.Encode(e.Spec, e.Title)
	if err != nil {
		s.notices = append(s.notices, session.Notice{ID: "link", Text: "This drill can not be put in a link: " + reason(err) + "."})
		return
	}
	s.o.Outside.CopyLink(fragment)
}
