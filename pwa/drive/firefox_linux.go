package drive

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

type firefox struct {
	session
	home string
	drop func()
	proc *process
}

// prefs keep Firefox from talking to anyone but the page, and let a page that was
// killed be driven again.
var prefs = []string{
	`"app.update.enabled", false`,
	`"browser.shell.checkDefaultBrowser", false`,
	`"browser.sessionstore.resume_from_crash", false`,
	`"browser.startup.homepage_override.mstone", "ignore"`,
	`"browser.startup.page", 0`,
	`"browser.tabs.warnOnClose", false`,
	`"captivedetect.canonicalURL", ""`,
	`"datareporting.policy.dataSubmissionEnabled", false`,
	`"dom.w3c_touch_events.enabled", 1`,
	`"extensions.update.enabled", false`,
	`"network.captive-portal-service.enabled", false`,
	`"network.connectivity-service.enabled", false`,
	`"services.settings.server", "http://127.0.0.1:9/"`,
	`"toolkit.startup.max_resumed_crashes", -1`,
	`"toolkit.telemetry.enabled", false`,
}

// Firefox starts Firefox ESR without a window, with touch.
func Firefox(ctx context.Context, o Options) (Browser, string, error) {
	return launch(o, []string{"firefox-esr"}, func(home string, drop func()) *firefox {
		return &firefox{session: session{name: "Firefox", ctx: ctx, touch: true}, home: home, drop: drop}
	})
}

func (f *firefox) start() error {
	ctx, cancel := context.WithTimeout(f.ctx, time.Minute)
	defer cancel()
	data := filepath.Join(f.home, "firefox")
	if err := os.MkdirAll(data, 0o700); err != nil {
		return fmt.Errorf("make a profile: %w", err)
	}
	for _, name := range []string{"lock", ".parentlock"} { // of a killed one
		if err := os.Remove(filepath.Join(data, name)); err != nil && !errors.Is(err, os.ErrNotExist) {
			return fmt.Errorf("unlock the profile: %w", err)
		}
	}
	port, err := freePort()
	if err != nil {
		return err
	}
	var b strings.Builder
	for _, p := range append([]string{fmt.Sprintf(`"marionette.port", %d`, port)}, prefs...) {
		fmt.Fprintf(&b, "user_pref(%s);\n", p)
	}
	if err := os.WriteFile(filepath.Join(data, "user.js"), []byte(b.String()), 0o600); err != nil {
		return fmt.Errorf("write the profile: %w", err)
	}
	f.proc, err = spawn(f.home, []string{"MOZ_CRASHREPORTER_DISABLE=1", "MOZ_HEADLESS=1"},
		"firefox-esr", "--marionette", "--headless", "--no-remote", "--profile", data)
	if err != nil {
		return err
	}
	if err := reach(ctx, f.proc, port); err != nil {
		return err
	}
	w, err := newMarionette(ctx, fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		return err
	}
	f.wire = w
	return f.call(nil, "SetTimeouts", map[string]any{"script": 60_000, "pageLoad": 60_000})
}

// Reload loads the page again as a person does. The protocol's own Refresh goes past
// the service worker (Firefox ESR 153, seen), which would test something else.
func (f *firefox) Reload() error {
	if err := f.Eval(nil, "window.beforeReload = true; setTimeout(() => location.reload())"); err != nil {
		return err
	}
	return f.WaitFor(Wait, "return !window.beforeReload && document.readyState === 'complete'")
}

func (f *firefox) Kill() {
	if f.wire != nil {
		f.wire.close() // commands fail from here on
	}
	if f.proc != nil {
		f.proc.kill()
		f.proc = nil
	}
}

func (f *firefox) Restart() error { return restart(f, f.size) }

func (f *firefox) Close() {
	f.Kill()
	f.drop()
}
