// Package path keeps what a player has earned and says what is open.
//
// A [Path] is the order of the drills, made from their list; a [Progress] is the
// player's record. Both are values without a clock: the caller says what day it is.
//
// The rule. A take is good when it was graded, passed and at least [grade.PassShare]
// of its notes were in their windows. A drill is passed when 4 of the last 5 takes at
// its target tempo are good and one of these good ones was played without the live
// display. It is mastered by one more good take at target tempo on a later day.
// Passing opens the next level of the same drill. What is passed stays passed.
// Judging by the share of good tries rather than by minutes follows Duke, Simmons &
// Cash 2009 (Journal of Research in Music Education 56:310), the later day Simmons
// 2012 (same journal, 59:357), hiding the display Park, Shea & Wright 2000 (Journal of
// Motor Behavior 32:287); 4 of 5 is our choice.
//
// What is passed is reviewed 1, 3, 7 and 21 days later. [Progress.Upkeep] says whether it
// is fresh, due or rusty on a day, [Path.Plan] suggests a session that changes between
// the families. None of this takes away what was earned, and none of it is in the file:
// it follows from the takes.
//
// A drill that is not open yet may still be played, for instance from a teacher's
// link. Such takes count like any other.
//
// [Progress.Encode] and [Decode] are the one file in which progress is stored and
// carried from machine to machine, [Merge] unites two records, and a [Keeper] keeps
// one in a [Store] so that a write that dies half way costs at most the last take.
//
// Values are safe for concurrent reading; a Keeper belongs to one goroutine. Ids of
// drills that are not on the path are kept, so that a record made with other material
// survives.
package path
