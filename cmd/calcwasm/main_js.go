package main

import (
	"errors"
	"syscall/js"

	"tubewright/calc/ask"
)

// build names the files this module was built with; the bundler sets it.
var build = "not set"

func main() {
	js.Global().Set("tubewrightBuild", build)
	js.Global().Set("tubewrightCalc", js.FuncOf(func(_ js.Value, args []js.Value) any {
		if len(args) == 0 || args[0].Type() != js.TypeString {
			return ask.Refuse(errors.New("tubewrightCalc takes a text"))
		}
		return answer(args[0].String())
	}))
	select {} // the worker ends the module by ending itself
}
