//go:build js

package main

import (
	"errors"
	"syscall/js"
)

// A store keeps bytes in the browser's storage for this page, through the page's script,
// which keeps them in memory where there is none.
type store struct{ page js.Value }

func (s store) Load(name string) ([]byte, error) {
	v := s.page.Call("loaded", name)
	if !v.Truthy() {
		return nil, nil
	}
	return copied(v), nil
}

func (s store) Save(name string, data []byte) error {
	if why := s.page.Call("saved", name, array(data)).String(); why != "" {
		return errors.New(why)
	}
	return nil
}

// copied is what a Uint8Array holds.
func copied(v js.Value) []byte {
	b := make([]byte, v.Length())
	js.CopyBytesToGo(b, v)
	return b
}

// array is a Uint8Array with these bytes.
func array(b []byte) js.Value {
	v := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(v, b)
	return v
}
