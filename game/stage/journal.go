package stage

import (
	"crypto/rand"
	"errors"

	"reedwell/game/session"
	"reedwell/game/shelf"
	"reedwell/levels/drill"
	"reedwell/levels/grade"
	"reedwell/levels/path"
	"reedwell/levels/week"
)

// keepJournal opens the practice journal beside the progress.
func (s *Stage) keepJournal() {
	random := s.o.Random
	if random == nil {
		random = rand.Reader
	}
	source, err := week.NewSource(random)
	if err != nil {
		panic("stage: " + err.Error()) // crypto/rand's reader never fails
	}
	var reports []error
	s.journal, reports = week.Keep(s.o.Store, source)
	for _, err := range reports {
		s.reportJournal(err)
	}
}

// enterJournal writes a take that could be judged into the journal. One that does not count towards
// anything, a part of a drill or one with holes in its sound, counts as time.
func (s *Stage) enterJournal(d drill.Drill, lick string, r grade.Result, entry path.Take) {
	day, err := path.ParseDay(s.o.Outside.Today())
	if err != nil || r.Problem != "" {
		return // the player was told of the day already
	}
	t := week.Take{Seconds: d.Seconds}
	if entry.Graded {
		t = week.FromResult(d, r, entry, d.Seconds)
		if lick != "" {
			t.Drill = shelf.JournalID(lick)
		}
	}
	s.record(day, t)
}

// spend writes time that was played freely into the journal.
func (s *Stage) spend(seconds float64) {
	if day, err := path.ParseDay(s.o.Outside.Today()); err == nil {
		s.record(day, week.Take{Seconds: seconds})
	}
}

func (s *Stage) record(day path.Day, t week.Take) {
	if err := s.journal.Record(day, t); err != nil {
		s.reportJournal(err)
	}
}

// reportJournal turns what went wrong with the journal into words.
func (s *Stage) reportJournal(err error) {
	if joined, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range joined.Unwrap() {
			s.reportJournal(e)
		}
		return
	}
	var aside *path.AsideError
	switch {
	case errors.As(err, &aside) && errors.Is(err, path.ErrNewer):
		s.notices = append(s.notices, session.Notice{ID: "journal-newer", Text: "Your practice journal is from a newer version of Reedwell. It was put aside untouched, and a new one begun. Load the newest version to go on with it."})
	case errors.As(err, &aside):
		s.notices = append(s.notices, session.Notice{ID: "journal-damaged", Text: "A part of your practice journal was damaged. It was put aside, and what could be read is kept. If you have a copy, read it under Your week."})
	default:
		s.report(err)
	}
}

func (s *Stage) importJournal(data []byte) {
	n := session.Notice{ID: "import-journal", Text: "The copy was read and added to your practice journal."}
	err := s.journal.Import(data)
	var store *path.StoreError
	switch {
	case errors.As(err, &store):
		s.reportJournal(err)
	case errors.Is(err, path.ErrNewer):
		n.Text = "The copy is from a newer version of Reedwell. Load the newest version and read it again. Nothing was changed."
	case errors.Is(err, week.ErrSources):
		n.Text = "The copy is of one device too many: " + err.Error() + ". Nothing was changed."
	case errors.Is(err, path.ErrTooLarge), errors.Is(err, path.ErrDamaged):
		n.Text = "This file is not a whole copy of a practice journal. Choose another. Nothing was changed."
	case err != nil:
		s.reportJournal(err)
	}
	s.notices = append(s.notices, n)
	s.renew()
}

// sessionTurns is how many turns a suggested session has: with three takes each, some twenty
// minutes. Our choice.
const sessionTurns = 6

// practised hands the session what was played and earned.
func (s *Stage) practised() {
	p := &session.Practice{Journal: s.journal.Journal(), Progress: s.keeper.Progress()}
	if day, err := path.ParseDay(s.day); err == nil {
		p.Today = day
		p.Plan = s.way.Plan(p.Progress, day, sessionTurns)
	}
	s.practice = p
}

// readWeek reads a link to a student's week for the session.
func (s *Stage) readWeek(fragment string) {
	sum, err := week.FromLink(fragment)
	s.link = &session.Link{Week: &sum}
	if err != nil {
		s.link = &session.Link{Reason: reason(err)}
	}
}
