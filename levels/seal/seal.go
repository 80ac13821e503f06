// Package seal writes and reads the small JSON files in which a player's things are kept, so
// that damage is noticed and a file of a later version is told from a damaged one.
//
// A sealed file is one JSON object without blanks. Its first key names the kind of file and
// gives its version, its second is "sha256": the SHA-256 sum (FIPS 180-4), in hexadecimal, of
// the file with that sum left empty. What the file holds follows.
//
//	{"reedwell-harps":1,"sha256":"ed45...","default":0,"harps":[]}
//
// A file is exactly the bytes that [Form.Write] makes of what is in it: there are no two ways
// to write the same, nothing is read that would be written otherwise, and no key is passed
// over. The sum tells damage, not forgery: whoever writes another file can sum it up too.
//
// All functions are pure and safe for concurrent use.
package seal

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"slices"
)

// A Form is one kind of file.
type Form struct {
	Key     string // names the kind; small letters and hyphens
	Version int    // that is written and read here, from 1
	Most    int    // bytes of the largest file that is read

	// Why a file is refused: it is no whole file of this kind; its version is later; it is
	// larger than Most. The error of a refusal wraps one of them.
	Damaged, Newer, TooLarge error
}

// Write seals a body, which is written as a JSON object with keys other than Key and sha256.
// It panics for a body that can not be written, which is the caller's bug.
func (f Form) Write(body any) []byte {
	rest, err := json.Marshal(body)
	if err != nil {
		panic("seal: " + f.Key + ": " + err.Error())
	}
	if rest[0] != '{' {
		panic("seal: " + f.Key + ": the body is no object")
	}
	data := fmt.Appendf(nil, `{%q:%d,"sha256":"`, f.Key, f.Version)
	at := len(data)
	data = append(data, '"')
	if len(rest) > len("{}") {
		data = append(data, ',')
	}
	data = append(data, rest[1:]...)
	sum := sha256.Sum256(data)
	return slices.Insert(data, at, []byte(hex.EncodeToString(sum[:]))...)
}

// Read reads what Write wrote. It hands the body to again, which takes it in and returns what
// would be written of it, or why it can not be: a body that comes back otherwise is refused as
// damaged, and so is one whose sum is wrong.
func Read[B any](f Form, data []byte, again func(B) (B, error)) error {
	if len(data) > f.Most {
		return fmt.Errorf("%w (%d bytes; the most is %d)", f.TooLarge, len(data), f.Most)
	}
	// A later version may look different in all but its version.
	var head map[string]json.RawMessage
	if err := json.Unmarshal(data, &head); err != nil {
		return fmt.Errorf("%w (%v)", f.Damaged, err)
	}
	version := 0
	if err := json.Unmarshal(head[f.Key], &version); err != nil || version < 1 {
		return fmt.Errorf("%w (it has no version)", f.Damaged)
	}
	if version > f.Version {
		return fmt.Errorf("%w (its version is %d, ours %d)", f.Newer, version, f.Version)
	}
	var body B
	if err := json.Unmarshal(data, &body); err != nil {
		return fmt.Errorf("%w (%v)", f.Damaged, err)
	}
	body, err := again(body)
	if err != nil {
		return fmt.Errorf("%w (%v)", f.Damaged, err)
	}
	if !bytes.Equal(f.Write(body), data) {
		return fmt.Errorf("%w (its checksum is wrong)", f.Damaged)
	}
	return nil
}
