//go:build js

package main

import "syscall/js"

// A vault keeps the take that goes on in the browser's database, through the page's script,
// which tells of one that an earlier page left by an event of its own.
type vault struct {
	page        js.Value
	head, sound []byte
	known       bool
}

func (v *vault) Begin(head []byte) { v.page.Call("keepTake", string(head)) }
func (v *vault) Add(piece []byte)  { v.page.Call("addTake", array(piece)) }
func (v *vault) Drop()             { v.page.Call("dropTake") }

// Left implements stage.Vault.
func (v *vault) Left() (head, sound []byte, ok bool) { return v.head, v.sound, v.known }
