//go:build js

// Command reedwell-web is the program in the page: it wires the browser's sound device,
// storage and page to the stage and draws what the stage shows. Build it for js/wasm.
package main

import (
	"crypto/rand"
	"syscall/js"

	"reedwell/audio/device"
	"reedwell/game"
	"reedwell/game/paint"
	"reedwell/game/stage"
)

func main() {
	script := js.Global().Get("page")
	p := &page{js: script, measure: paint.NewFonts()}
	inputs := device.NewInputs()
	p.vault = &vault{page: script}
	p.stage = stage.New(stage.Options{
		Open:    func(o device.Options) stage.Device { return device.Open(o) },
		Store:   store{script},
		Vault:   p.vault,
		Outside: outside{script},
		Inputs:  inputs,
		Outputs: inputs.Outputs,
		Link:    script.Call("link").String(),
		Page:    true,
		Random:  rand.Reader,
	})
	p.game = game.New(p.stage, game.Options{Page: p, Lag: p.stage.Lag})
	// Lives as long as the page.
	script.Call("start", js.FuncOf(func(_ js.Value, args []js.Value) any {
		p.receive(args[0].String(), args[1].String(), args[2])
		return nil
	}))
	if err := p.game.Run("Reedwell", 1280, 800); err != nil {
		panic(err)
	}
}
