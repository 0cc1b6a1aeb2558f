package drive

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"
)

type webkit struct {
	session
	home    string
	drop    func()
	display *process
	proc    *process
}

// WebKit starts WebKitGTK's test browser on a screen of its own, with the mouse: its
// driver knows no touch. Its sessions keep nothing, so Restart begins empty.
func WebKit(ctx context.Context, o Options) (Browser, string, error) {
	return launch(o, []string{"WebKitWebDriver", "Xvfb"}, func(home string, drop func()) *webkit {
		return &webkit{session: session{name: "WebKitGTK", ctx: ctx}, home: home, drop: drop}
	})
}

func (w *webkit) start() error {
	ctx, cancel := context.WithTimeout(w.ctx, time.Minute)
	defer cancel()
	display, err := w.screen(ctx)
	if err != nil {
		return err
	}
	port, err := freePort()
	if err != nil {
		return err
	}
	w.proc, err = spawn(w.home, []string{
		"DISPLAY=" + display, "GDK_BACKEND=x11", "LIBGL_ALWAYS_SOFTWARE=1", "GTK_A11Y=none", "NO_AT_BRIDGE=1",
		"WEBKIT_DISABLE_SANDBOX_THIS_IS_DANGEROUS=1", // as root there is no sandbox; the pages are ours
	}, "WebKitWebDriver", fmt.Sprintf("--port=%d", port))
	if err != nil {
		return err
	}
	if err := reach(ctx, w.proc, port); err != nil {
		return err
	}
	wire, err := newWebdriver(ctx, fmt.Sprintf("http://127.0.0.1:%d", port), map[string]any{
		"timeouts": map[string]any{"script": 60_000, "pageLoad": 60_000},
	})
	if err != nil {
		return err
	}
	w.wire = wire
	return nil
}

// screen starts a screen without hardware; the server picks a free number and says it.
func (w *webkit) screen(ctx context.Context) (string, error) {
	r, to, err := os.Pipe()
	if err != nil {
		return "", fmt.Errorf("start a screen: %w", err)
	}
	defer r.Close()
	// The number comes on descriptor 3, the first of ExtraFiles.
	w.display, err = spawnWith(filepath.Join(w.home, "screen"), nil, []*os.File{to},
		"Xvfb", "-displayfd", "3", "-screen", "0", "1600x1400x24", "-nolisten", "tcp")
	to.Close()
	if err != nil {
		return "", err
	}
	if deadline, ok := ctx.Deadline(); ok {
		if err := r.SetReadDeadline(deadline); err != nil && !errors.Is(err, os.ErrNoDeadline) {
			return "", fmt.Errorf("start a screen: %w", err)
		}
	}
	number, err := bufio.NewReader(r).ReadString('\n')
	if err != nil {
		return "", fmt.Errorf("start a screen: %w: %s", err, w.display.log.String())
	}
	return ":" + strings.TrimSpace(number), nil
}

func (w *webkit) Kill() {
	for _, p := range []*process{w.proc, w.display} {
		if p != nil {
			p.kill()
		}
	}
	w.proc, w.display = nil, nil
}

func (w *webkit) Restart() error { return restart(w, w.size) }

func (w *webkit) Close() {
	w.Kill()
	w.drop()
}
