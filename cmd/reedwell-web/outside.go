//go:build js

package main

import "syscall/js"

// An outside is the page around the program.
type outside struct{ page js.Value }

func (o outside) Download(name string, data []byte) { o.page.Call("download", name, array(data)) }
func (o outside) CopyLink(fragment string)          { o.page.Call("copyLink", fragment) }
func (o outside) CopyText(text string)              { o.page.Call("copyText", text) }
func (o outside) Address() string                   { return o.page.Call("address").String() }
func (o outside) Fetch(file string)                 { o.page.Call("fetchText", file) }
func (o outside) Print()                            { o.page.Call("print") }
func (o outside) Today() string                     { return o.page.Call("today").String() }
