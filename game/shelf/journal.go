package shelf

import "strings"

const journalPrefix = "lick-"

// JournalID is the name under which takes of a lick, or of a chorus, are counted in the
// practice journal; key is that of LickKey or ChorusKey.
func JournalID(key string) string { return journalPrefix + key }

// JournalKey is the key that JournalID made a name of; ok is false for the name of a drill.
func JournalKey(id string) (key string, ok bool) {
	key, ok = strings.CutPrefix(id, journalPrefix)
	return key, ok && len(key) == len(name(""))
}
