//go:build !js

// Longwasm is what takes long to work out, and all that draws, for the tablet: a program
// of its own beside cmd/calcwasm, so that the first load stays small and no plan waits
// behind it. As WebAssembly it gives its worker the function tubewrightCalc, which takes a question
// as JSON text and a function that is told the share done, and returns the answer as
// JSON text. Built for any other machine it answers questions from standard input, one
// a line: the way to see what a tablet sees.
package main

import (
	"fmt"
	"os"

	"tubewright/calc/ask"
)

func main() {
	toTheEnd := func(float64) bool { return true }
	if err := ask.Lines(os.Stdin, os.Stdout, func(q string) string { return answer(q, toTheEnd) }); err != nil {
		fmt.Fprintln(os.Stderr, "longwasm:", err)
		os.Exit(1)
	}
}
