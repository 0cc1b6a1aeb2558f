package drive

import (
	"context"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
)

// session is what all engines do alike.
type session struct {
	name  string
	ctx   context.Context
	wire  wire
	touch bool   // the engine knows touch input
	size  [2]int // of the page, once it was set
}

func (s *session) Name() string { return s.name }

// call runs one command and reads its value into out, which may be nil.
func (s *session) call(out any, command string, params map[string]any) error {
	if params == nil {
		params = map[string]any{}
	}
	ctx, cancel := context.WithTimeout(s.ctx, 60*time.Second)
	defer cancel()
	value, err := s.wire.call(ctx, command, params)
	if err != nil {
		return fmt.Errorf("%s: %s: %w", s.name, command, err)
	}
	if out == nil {
		return nil
	}
	if err := json.Unmarshal(value, out); err != nil {
		return fmt.Errorf("%s: %s: read %.200s: %w", s.name, command, value, err)
	}
	return nil
}

func (s *session) Open(url string) error {
	return s.call(nil, "Navigate", map[string]any{"url": url})
}

func (s *session) Reload() error { return s.call(nil, "Refresh", nil) }

func (s *session) URL() (url string, err error) {
	err = s.call(&url, "GetCurrentURL", nil)
	return url, err
}

func (s *session) Title() (title string, err error) {
	err = s.call(&title, "GetTitle", nil)
	return title, err
}

func (s *session) Eval(out any, body string, args ...any) error {
	return s.call(out, "ExecuteScript", map[string]any{"script": body, "args": list(args)})
}

func (s *session) EvalAsync(out any, body string, args ...any) error {
	const wrap = `const done = arguments[arguments.length - 1];
const args = Array.prototype.slice.call(arguments, 0, -1);
(async function () { %s }).apply(null, args).then(
	(value) => done({ value: value === undefined ? null : value }),
	(err) => done({ failed: String(err) + "\n" + (err && err.stack || "") }));`
	var answer struct {
		Value  json.RawMessage `json:"value"`
		Failed string          `json:"failed"`
	}
	err := s.call(&answer, "ExecuteAsyncScript", map[string]any{"script": fmt.Sprintf(wrap, body), "args": list(args)})
	if err != nil {
		return err
	}
	if answer.Failed != "" {
		return fmt.Errorf("%s: the page: %s", s.name, answer.Failed)
	}
	if out == nil {
		return nil
	}
	if err := json.Unmarshal(answer.Value, out); err != nil {
		return fmt.Errorf("%s: read %.200s: %w", s.name, answer.Value, err)
	}
	return nil
}

// list is never null in JSON.
func list(args []any) []any {
	if args == nil {
		return []any{}
	}
	return args
}

func (s *session) WaitFor(limit time.Duration, body string, args ...any) error {
	var last json.RawMessage
	var err error
	for end := time.Now().Add(limit); ; {
		if err = s.Eval(&last, body, args...); err == nil {
			switch string(last) {
			case "null", "false", "0", `""`:
			default:
				return nil
			}
		}
		if time.Now().After(end) {
			break
		}
		if err := pause(s.ctx, 50*time.Millisecond); err != nil {
			return err
		}
	}
	if err != nil {
		return fmt.Errorf("waited %v: %w", limit, err)
	}
	return fmt.Errorf("%s: waited %v for %q, last it was %s", s.name, limit, body, last)
}

func pause(ctx context.Context, d time.Duration) error {
	select {
	case <-ctx.Done():
		return ctx.Err()
	case <-time.After(d):
		return nil
	}
}

// find is a script: the first visible element of a target, scrolled into view, and
// what lies over its middle if that is something else.
const find = `const [css, text, act] = arguments;
const named = (e) => (e.getAttribute("aria-label") || e.textContent || e.value || "").replace(/\s+/g, " ").trim();
const shown = (e) => e.getClientRects().length > 0 && getComputedStyle(e).visibility !== "hidden";
const all = Array.from(document.querySelectorAll(css || "button, a, summary, label, [role=button], [role=tab], [role=radio], input[type=submit], input[type=button]"));
const seen = all.filter((e) => shown(e) && (css || named(e) === text));
const e = seen[0];
if (!e) return { found: false, others: css ? [] : all.filter(shown).map(named).slice(0, 40) };
let r = e.getBoundingClientRect();
const covering = () => {
	const top = document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2);
	return top && !e.contains(top) && !top.contains(e) ? top.outerHTML.slice(0, 120) : "";
};
if (act && (r.top < 0 || r.left < 0 || r.bottom > innerHeight || r.right > innerWidth || covering())) { // under a foot that stays, too
	e.scrollIntoView({ block: "center", inline: "center", behavior: "instant" });
	r = e.getBoundingClientRect();
}
const over = covering();
const x = r.x + r.width / 2, y = r.y + r.height / 2;
return { found: true, over, outside: !!act && (x < 0 || y < 0 || x >= innerWidth || y >= innerHeight), disabled: !!e.disabled, x: r.x, y: r.y, width: r.width, height: r.height, text: e.innerText === undefined ? e.textContent : e.innerText };`

type found struct {
	Found, Disabled     bool
	Outside             bool
	Over, Text          string
	Others              []string
	X, Y, Width, Height float64
}

// look waits until the target is there; with act also until it can be reached.
func (s *session) look(t Target, act bool) (found, error) {
	for end := time.Now().Add(Wait); ; {
		var f found
		err := s.Eval(&f, find, t.css, t.text, act)
		if err == nil && f.Found && (!act || f.Over == "" && !f.Disabled && !f.Outside) {
			return f, nil
		}
		if time.Now().After(end) {
			switch {
			case err != nil:
				return f, err
			case !f.Found && t.text != "":
				return f, fmt.Errorf("%s: no %v; there are %s", s.name, t, strings.Join(f.Others, " | "))
			case !f.Found:
				return f, fmt.Errorf("%s: no %v", s.name, t)
			case f.Outside:
				return f, fmt.Errorf("%s: %v lies outside the view, at %.0f, %.0f, and cannot be scrolled to", s.name, t, f.X, f.Y)
			case f.Disabled:
				return f, fmt.Errorf("%s: %v is disabled", s.name, t)
			}
			return f, fmt.Errorf("%s: over %v lies %s", s.name, t, f.Over)
		}
		if err := pause(s.ctx, 50*time.Millisecond); err != nil {
			return f, err
		}
	}
}

func (s *session) Tap(t Target) error {
	kind := "touch"
	if !s.touch {
		kind = "mouse"
	}
	return s.press(t, kind)
}

func (s *session) Click(t Target) error { return s.press(t, "mouse") }

func (s *session) press(t Target, kind string) error {
	f, err := s.look(t, true)
	if err != nil {
		return err
	}
	x, y := math.Round(f.X+f.Width/2), math.Round(f.Y+f.Height/2)
	return s.call(nil, "PerformActions", map[string]any{"actions": []any{map[string]any{
		"type": "pointer", "id": kind, "parameters": map[string]any{"pointerType": kind},
		"actions": []any{
			map[string]any{"type": "pointerMove", "duration": 0, "x": int(x), "y": int(y), "origin": "viewport"},
			map[string]any{"type": "pointerDown", "button": 0},
			map[string]any{"type": "pointerUp", "button": 0},
		},
	}}})
}

func (s *session) Type(keys string) error {
	var actions []any
	for _, r := range keys {
		if r == '\n' {
			r = '\uE007' // Enter, WebDriver section 17.4.2
		}
		actions = append(actions,
			map[string]any{"type": "keyDown", "value": string(r)},
			map[string]any{"type": "keyUp", "value": string(r)})
	}
	return s.call(nil, "PerformActions", map[string]any{"actions": []any{
		map[string]any{"type": "key", "id": "keyboard", "actions": actions},
	}})
}

func (s *session) Choose(t Target, path string) error {
	var found map[string]string
	if err := s.call(&found, "FindElement", map[string]any{"using": "css selector", "value": t.css}); err != nil {
		return err
	}
	id := found["element-6066-11e4-a52e-4f735466cecf"] // the key of an element, WebDriver section 11
	if id == "" {
		return fmt.Errorf("%s: %v: no element in %v", s.name, t, found)
	}
	return s.call(nil, "ElementSendKeys", map[string]any{"id": id, "text": path})
}

func (s *session) Text(t Target) (string, error) {
	f, err := s.look(t, false)
	return f.Text, err
}

func (s *session) Box(t Target) (Box, error) {
	f, err := s.look(t, false)
	return Box{f.X, f.Y, f.Width, f.Height}, err
}

// SetSize changes the window until the page in it has the size.
func (s *session) SetSize(width, height int) error {
	s.size = [2]int{width, height}
	outer := map[string]any{"width": width, "height": height}
	for range 5 {
		if err := s.call(nil, "SetWindowRect", outer); err != nil {
			return err
		}
		var got [2]int
		for range 20 { // the window system answers in its own time
			if err := s.Eval(&got, "return [innerWidth, innerHeight]"); err != nil {
				return err
			}
			if got == [2]int{width, height} {
				return nil
			}
			if err := pause(s.ctx, 50*time.Millisecond); err != nil {
				return err
			}
		}
		outer["width"] = outer["width"].(int) + width - got[0]
		outer["height"] = outer["height"].(int) + height - got[1]
	}
	return fmt.Errorf("%s: the page does not take the size %d×%d", s.name, width, height)
}

func (s *session) Screenshot() ([]byte, error) {
	var text string
	if err := s.call(&text, "TakeScreenshot", map[string]any{"full": false}); err != nil {
		return nil, err
	}
	b, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		return nil, fmt.Errorf("%s: read the picture: %w", s.name, err)
	}
	return b, nil
}

func (s *session) Errors() ([]string, bool) { return nil, false }

func (s *session) KillTab() error {
	return fmt.Errorf("%s: killing one tab: %w", s.name, errors.ErrUnsupported)
}
