package drive

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
)

// webdriver is the W3C protocol over HTTP. (W3C, WebDriver, section 8 "Endpoints".)
type webdriver struct {
	base    string // http://127.0.0.1:PORT
	session string
}

var endpoints = map[string]struct{ method, path string }{
	"DeleteSession":      {"DELETE", ""},
	"Navigate":           {"POST", "/url"},
	"Refresh":            {"POST", "/refresh"},
	"GetCurrentURL":      {"GET", "/url"},
	"GetTitle":           {"GET", "/title"},
	"ExecuteScript":      {"POST", "/execute/sync"},
	"ExecuteAsyncScript": {"POST", "/execute/async"},
	"PerformActions":     {"POST", "/actions"},
	"SetWindowRect":      {"POST", "/window/rect"},
	"SetTimeouts":        {"POST", "/timeouts"},
	"TakeScreenshot":     {"GET", "/screenshot"},
	"FindElement":        {"POST", "/element"},
	"ElementSendKeys":    {"POST", "/element/{id}/value"},
	"GetWindowHandle":    {"GET", "/window"},
	"CloseWindow":        {"DELETE", "/window"},
	"NewWindow":          {"POST", "/window/new"},
	"SwitchToWindow":     {"POST", "/window"},
	"CDP":                {"POST", "/goog/cdp/execute"}, // chromedriver only
	"Log":                {"POST", "/se/log"},           // chromedriver only
}

// newWebdriver opens a session with the capabilities.
func newWebdriver(ctx context.Context, base string, capabilities map[string]any) (*webdriver, error) {
	w := &webdriver{base: base}
	value, err := w.send(ctx, "POST", "/session", map[string]any{"capabilities": map[string]any{"alwaysMatch": capabilities}})
	if err != nil {
		return nil, fmt.Errorf("open a session: %w", err)
	}
	var opened struct {
		SessionID string `json:"sessionId"`
	}
	if err := json.Unmarshal(value, &opened); err != nil || opened.SessionID == "" {
		return nil, fmt.Errorf("open a session: no id in %.200s", value)
	}
	w.session = opened.SessionID
	return w, nil
}

func (w *webdriver) call(ctx context.Context, command string, params map[string]any) (json.RawMessage, error) {
	e, ok := endpoints[command]
	if !ok {
		return nil, fmt.Errorf("no endpoint")
	}
	if id, ok := params["id"].(string); ok {
		e.path = strings.Replace(e.path, "{id}", id, 1)
	}
	if e.method != "POST" {
		params = nil
	}
	return w.send(ctx, e.method, "/session/"+w.session+e.path, params)
}

func (w *webdriver) send(ctx context.Context, method, path string, params map[string]any) (json.RawMessage, error) {
	var body bytes.Buffer
	if params != nil {
		if err := json.NewEncoder(&body).Encode(params); err != nil {
			return nil, fmt.Errorf("write the command: %w", err)
		}
	}
	req, err := http.NewRequestWithContext(ctx, method, w.base+path, &body)
	if err != nil {
		return nil, fmt.Errorf("make the command: %w", err)
	}
	req.Header.Set("Content-Type", "application/json; charset=utf-8")
	res, err := http.DefaultClient.Do(req)
	if err != nil {
		return nil, err
	}
	defer res.Body.Close()
	var answer struct {
		Value json.RawMessage `json:"value"`
	}
	if err := json.NewDecoder(res.Body).Decode(&answer); err != nil {
		return nil, fmt.Errorf("answer %s: %w", res.Status, err)
	}
	if res.StatusCode != http.StatusOK {
		var fault struct{ Error, Message string }
		if err := json.Unmarshal(answer.Value, &fault); err != nil {
			return nil, fmt.Errorf("answer %s: %.200s", res.Status, answer.Value)
		}
		first, _, _ := strings.Cut(fault.Message, "\n")
		return nil, fmt.Errorf("%s: %s", fault.Error, first)
	}
	return answer.Value, nil
}

func (w *webdriver) close() {}
