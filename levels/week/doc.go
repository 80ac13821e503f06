// Package week keeps what was practised and tells of it: to the player in plots, to a
// teacher in a [Summary] of one week, and across students in a [Table].
//
// A [Journal] counts, it does not judge: takes, seconds and what was measured, by day.
// What was not measured has no number anywhere; a week without takes is a gap. Days are
// days of the player's own calendar, given by the caller; weeks begin on Monday (ISO
// 8601). What was earned is not kept here but in path.Progress.
//
// The journal holds single days for the last [FineWeeks] weeks. Before that, what was
// played is added up by week, minutes and takes stay by day. When a file grows towards
// [MaxBytes], the oldest weeks are forgotten. Each installation writes under a random
// source of its own, so that journals of two devices can be merged, any number of times
// and in any order, without counting a take twice.
//
// A player's own plots come from [Journal.Days] and [Journal.Weeks]; where a point's N is 0 there
// is nothing to draw. The summary comes from [Summarise]; [Summary.Lines] puts it in words, given
// the titles of the drills, and [Summary.Encode] and [Link] send it. A teacher's side reads each
// file or link with [Decode] or [FromLink], and [Compare] makes the table of all of them.
// There is no sound in any of it.
//
// A summary has no name unless the student types one. It carries the journal's source,
// random letters that say only that two summaries are from the same installation.
//
// All is pure; values are safe for concurrent reading, a Keeper belongs to one goroutine.
package week
