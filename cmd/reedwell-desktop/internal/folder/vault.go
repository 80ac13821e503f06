package folder

import (
	"bytes"
	"encoding/binary"
	"io"
	"os"
	"path/filepath"
)

// A Vault is a stage.Vault: a file in the folder of the Store, with the length of the head, the
// head, and the pieces one after the other. Where it can not be written nothing is kept.
type Vault struct {
	name        string
	head, sound []byte // what was there at first
	file        *os.File
	size        int64
}

// vaultMost bounds the file, in bytes: ten minutes at 48 kHz.
const vaultMost = 60e6

// NewVault returns the vault in a folder, with what an earlier program left there.
func NewVault(folder string) *Vault {
	v := &Vault{name: filepath.Join(folder, "take.part")}
	if f, err := os.Open(v.name); err == nil {
		data, _ := io.ReadAll(io.LimitReader(f, vaultMost))
		f.Close()
		if len(data) > 4 {
			if n := int64(binary.LittleEndian.Uint32(data)); n <= int64(len(data)-4) {
				v.head, v.sound = data[4:4+n], data[4+n:]
			}
		}
	}
	return v
}

// Begin implements stage.Vault.
func (v *Vault) Begin(head []byte) {
	v.close()
	if os.MkdirAll(filepath.Dir(v.name), 0o700) != nil {
		return
	}
	f, err := os.OpenFile(v.name, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return
	}
	v.file, v.size = f, 0
	v.Add(append(binary.LittleEndian.AppendUint32(nil, uint32(len(head))), head...))
}

// Add implements stage.Vault. A file that can not be written to its end is no use to anybody.
func (v *Vault) Add(piece []byte) {
	if v.file == nil || v.size+int64(len(piece)) > vaultMost {
		return
	}
	n, err := io.Copy(v.file, bytes.NewReader(piece))
	if v.size += n; err != nil {
		v.close()
	}
}

// Drop implements stage.Vault.
func (v *Vault) Drop() {
	v.close()
	os.Remove(v.name)
}

func (v *Vault) close() {
	if v.file != nil {
		v.file.Close()
		v.file = nil
	}
}

// Left implements stage.Vault.
func (v *Vault) Left() (head, sound []byte, ok bool) { return v.head, v.sound, true }
