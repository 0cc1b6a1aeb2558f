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
		if len(args) != 2 || args[0].Type() != js.TypeString || args[1].Type() != js.TypeFunction {
			return ask.Refuse(errors.New("tubewrightCalc takes a text and a function"))
		}
		return answer(args[0].String(), func(done float64) bool {
			args[1].Invoke(done)
			return true // who does not want the answer any more ends the worker
		})
	}))
	select {} // the worker ends the module by ending itself
}
