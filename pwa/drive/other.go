//go:build !linux

package drive

import "context"

const onlyLinux = "SKIPPED: browsers are driven on Linux only"

// Chromium is driven on Linux only.
func Chromium(context.Context, Options) (Browser, string, error) { return nil, onlyLinux, nil }

// Firefox is driven on Linux only.
func Firefox(context.Context, Options) (Browser, string, error) { return nil, onlyLinux, nil }

// WebKit is driven on Linux only.
func WebKit(context.Context, Options) (Browser, string, error) { return nil, onlyLinux, nil }
