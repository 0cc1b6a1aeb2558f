package drive

// What only Chromium lets a test decide about a page: how much it may store, what
// the browser calls itself, what runs before the page's own program, where
// downloads go, and whether it is set to light or dark.

// Quota limits what the pages of an origin may store, in bytes; 0 lifts the limit.
func (c *chromium) Quota(origin string, bytes int64) error {
	params := map[string]any{"origin": origin}
	if bytes > 0 {
		params["quotaSize"] = bytes
	}
	return c.cdp("Storage.overrideQuotaForOrigin", params)
}

// Pretend makes the page in front believe that it runs in another browser.
func (c *chromium) Pretend(userAgent string) error {
	return c.cdp("Network.setUserAgentOverride", map[string]any{"userAgent": userAgent})
}

// Before runs a script in the tab in front before the program of each page that is
// loaded from now on.
func (c *chromium) Before(script string) error {
	if err := c.cdp("Page.enable", map[string]any{}); err != nil {
		return err
	}
	return c.cdp("Page.addScriptToEvaluateOnNewDocument", map[string]any{"source": script})
}

// Downloads puts files that a page hands over into a folder.
func (c *chromium) Downloads(folder string) error {
	return c.cdp("Browser.setDownloadBehavior", map[string]any{"behavior": "allow", "downloadPath": folder})
}

// Scheme makes the page believe that the tablet is set to light or dark.
func (c *chromium) Scheme(name string) error { return c.media("screen", name) }

// Paper makes the page believe that it is printed from a tablet set to light or dark.
func (c *chromium) Paper(scheme string) error { return c.media("print", scheme) }

func (c *chromium) media(medium, scheme string) error {
	return c.cdp("Emulation.setEmulatedMedia", map[string]any{"media": medium, "features": []any{
		map[string]any{"name": "prefers-color-scheme", "value": scheme},
	}})
}
