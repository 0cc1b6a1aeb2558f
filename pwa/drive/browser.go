// Package drive drives real browsers from tests: Chromium and WebKitGTK by the W3C
// WebDriver protocol, Firefox by its own Marionette protocol. It is for tests only
// and needs no module of others.
//
// A browser starts with a profile folder of its own, so nothing is kept between
// tests unless a test hands the same folder over again. Where a browser is not
// installed, its start function says so and the test skips.
package drive

import (
	"context"
	"encoding/json"
	"fmt"
	"time"
)

// Wait is how long things that a page does in its own time are waited for, on a loaded
// machine. It is well over the ten seconds for which the app's way back lies over a page.
const Wait = 30 * time.Second

// Browser is one running browser with one page.
type Browser interface {
	Name() string // "Chromium", "Firefox", "WebKitGTK"

	Open(url string) error
	Reload() error
	URL() (string, error)
	Title() (string, error)

	// Eval runs the body of a function with args as its arguments and reads what it
	// returns into out, which may be nil.
	Eval(out any, body string, args ...any) error
	// EvalAsync does the same with the body of an async function and waits for it.
	EvalAsync(out any, body string, args ...any) error
	// WaitFor waits until the body of a function returns something true; the error
	// says what it returned last.
	WaitFor(limit time.Duration, body string, args ...any) error

	// Tap touches the middle of what is found, as a finger does; an engine without
	// touch gets the mouse. It waits for it to appear, and it is an error when
	// something else lies over it.
	Tap(Target) error
	Click(Target) error // with the mouse
	// Type sends keys to the focused element, as a keyboard does. "\n" is Enter.
	Type(keys string) error
	// Choose gives a file to an input for files, as if a person had chosen it; the
	// input need not be in view. The target must be a selector.
	Choose(t Target, path string) error
	Text(Target) (string, error)
	Box(Target) (Box, error)

	// SetSize makes the page exactly so large, in CSS pixels; KillTab and Restart keep it.
	SetSize(width, height int) error
	Screenshot() ([]byte, error) // PNG of what is in view

	// Errors returns what the page complained of since the last call; ok is false
	// where the engine does not tell.
	Errors() (lines []string, ok bool)

	// KillTab kills the process of the page only and leaves the browser with a fresh
	// page of the same profile.
	KillTab() error
	// Kill kills the whole browser at once, as a dead battery does.
	Kill()
	// Restart starts it again with the same profile, after Kill or instead of it.
	Restart() error
	Close()
}

// Options of a start. The zero value is a fresh profile.
type Options struct {
	Profile string // folder to use, and to keep; empty: one that Close deletes
}

// Start starts one engine. skip says why it cannot be had here; then the browser is nil.
type Start func(ctx context.Context, o Options) (b Browser, skip string, err error)

// Engines are the three engines by name.
var Engines = []struct {
	Name  string
	Start Start
}{
	{"Chromium", Chromium},
	{"Firefox", Firefox},
	{"WebKitGTK", WebKit},
}

// Box is where an element is, in CSS pixels from the upper left of the view.
type Box struct{ X, Y, Width, Height float64 }

// Target is a way to find an element.
type Target struct{ css, text string }

// CSS finds the first visible element of a selector.
func CSS(selector string) Target { return Target{css: selector} }

// Button finds the first visible button, link or summary with this text or label.
func Button(text string) Target { return Target{text: text} }

func (t Target) String() string {
	if t.text != "" {
		return fmt.Sprintf("button %q", t.text)
	}
	return fmt.Sprintf("element %q", t.css)
}

// wire is a protocol: it sends a command by its Marionette name and returns the value.
type wire interface {
	call(ctx context.Context, command string, params map[string]any) (json.RawMessage, error)
	close()
}
