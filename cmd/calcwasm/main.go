//go:build !js

// Calcwasm is the calculation for the tablet. As WebAssembly it gives the page's
// worker one function, tubewrightCalc, which takes a question as JSON text and
// returns the answer as JSON text. Built for any other machine it answers
// questions from standard input, one a line: the way to see what a tablet sees.
package main

import (
	"fmt"
	"os"

	"tubewright/calc/ask"
)

func main() {
	if err := ask.Lines(os.Stdin, os.Stdout, answer); err != nil {
		fmt.Fprintln(os.Stderr, "calcwasm:", err)
		os.Exit(1)
	}
}
