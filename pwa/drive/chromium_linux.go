package drive

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"
)

type chromium struct {
	session
	home string
	drop func()
	proc *process
}

// Chromium starts Chromium without a window, with touch.
func Chromium(ctx context.Context, o Options) (Browser, string, error) {
	return launch(o, []string{"chromium", "chromedriver"}, func(home string, drop func()) *chromium {
		return &chromium{session: session{name: "Chromium", ctx: ctx, touch: true}, home: home, drop: drop}
	})
}

func (c *chromium) start() error {
	ctx, cancel := context.WithTimeout(c.ctx, time.Minute)
	defer cancel()
	data := filepath.Join(c.home, "chromium")
	// A killed browser leaves its lock; its process is gone, as the caller knows.
	for _, name := range []string{"SingletonLock", "SingletonSocket", "SingletonCookie"} {
		if err := os.Remove(filepath.Join(data, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("unlock the profile: %w", err)
		}
	}
	port, err := freePort()
	if err != nil {
		return err
	}
	if c.proc, err = spawn(c.home, nil, "chromedriver", fmt.Sprintf("--port=%d", port)); err != nil {
		return err
	}
	if err := reach(ctx, c.proc, port); err != nil {
		return err
	}
	args := []string{
		"--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--touch-events=enabled",
		"--user-data-dir=" + data, "--no-first-run", "--no-default-browser-check",
		"--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-default-apps",
		"--disable-extensions", "--disable-domain-reliability", "--metrics-recording-only", "--no-pings",
		// The last two are pages of its own below the address bar: half of the work of a start.
		"--disable-features=SpareRendererForSitePerProcess,OptimizationHints,Translate,MediaRouter,WebUIOmniboxPopup,WebUIOmniboxAimPopup",
		"--hide-scrollbars", "--force-device-scale-factor=1", "--password-store=basic",
	}
	w, err := newWebdriver(ctx, fmt.Sprintf("http://127.0.0.1:%d", port), map[string]any{
		"browserName":         "chrome",
		"goog:loggingPrefs":   map[string]any{"browser": "ALL"},
		"goog:chromeOptions":  map[string]any{"args": args},
		"timeouts":            map[string]any{"script": 60_000, "pageLoad": 20_000},
		"pageLoadStrategy":    "normal",
		"acceptInsecureCerts": false,
	})
	if err != nil {
		return err
	}
	c.wire = w
	return c.tablet()
}

// tablet gives the tab a touch screen and the size that was set; a fresh tab has neither.
func (c *chromium) tablet() error {
	if c.size != [2]int{} {
		if err := c.SetSize(c.size[0], c.size[1]); err != nil {
			return err
		}
	}
	return c.cdp("Emulation.setTouchEmulationEnabled", map[string]any{"enabled": true, "maxTouchPoints": 5})
}

func (c *chromium) cdp(command string, params map[string]any) error {
	return c.call(nil, "CDP", map[string]any{"cmd": command, "params": params})
}

func (c *chromium) SetSize(width, height int) error {
	c.size = [2]int{width, height}
	return c.cdp("Emulation.setDeviceMetricsOverride", map[string]any{
		"width": width, "height": height, "deviceScaleFactor": 1, "mobile": false,
	})
}

func (c *chromium) Errors() ([]string, bool) {
	var entries []struct{ Level, Message string }
	if err := c.call(&entries, "Log", map[string]any{"type": "browser"}); err != nil {
		return []string{err.Error()}, true
	}
	var lines []string
	for _, e := range entries {
		if e.Level == "SEVERE" || e.Level == "WARNING" {
			lines = append(lines, e.Message)
		}
	}
	return lines, true
}

// Installable returns what keeps the page from being installed as an app, as
// Chromium's own ids; none when it can be.
func (c *chromium) Installable() (faults []string, err error) {
	var said struct {
		InstallabilityErrors []struct{ ErrorID string }
	}
	if err := c.call(&said, "CDP", map[string]any{"cmd": "Page.getInstallabilityErrors", "params": map[string]any{}}); err != nil {
		return nil, err
	}
	for _, e := range said.InstallabilityErrors {
		faults = append(faults, e.ErrorID)
	}
	return faults, nil
}

// KillTab opens a fresh tab, kills the processes that drew pages before it, and goes on
// in the fresh one.
func (c *chromium) KillTab() error {
	before := c.Drawing()
	if len(before) == 0 {
		return errors.New("Chromium: found no process that draws a page")
	}
	fresh, err := c.newTab()
	if err != nil {
		return err
	}
	for _, pid := range before {
		if err := killOne(pid); err != nil {
			return fmt.Errorf("kill the page's process %d: %w", pid, err)
		}
	}
	return c.toTab(fresh)
}

func (c *chromium) Kill() {
	if c.proc != nil {
		c.proc.kill()
		c.proc = nil
	}
}

func (c *chromium) Restart() error {
	c.Kill()
	return c.start()
}

func (c *chromium) Close() {
	c.Kill()
	c.drop()
}
