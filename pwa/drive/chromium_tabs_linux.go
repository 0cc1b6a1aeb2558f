package drive

import "strings"

// What only Chromium does here: more tabs than one, and the processes that draw
// them. A test asks for it by an interface of its own.

// OpenTab opens a fresh tab in front of the others and goes on in it; back is the
// tab that was in front. The page of that one is hidden from now on.
func (c *chromium) OpenTab() (back string, err error) {
	if err := c.call(&back, "GetWindowHandle", nil); err != nil {
		return "", err
	}
	fresh, err := c.newTab()
	if err != nil {
		return "", err
	}
	return back, c.toTab(fresh)
}

// CloseTab closes the tab in front and goes on in back, which is shown again.
func (c *chromium) CloseTab(back string) error {
	if err := c.call(nil, "CloseWindow", nil); err != nil {
		return err
	}
	return c.toTab(back)
}

func (c *chromium) newTab() (handle string, err error) {
	var opened struct {
		Handle string `json:"handle"`
	}
	err = c.call(&opened, "NewWindow", map[string]any{"type": "tab"})
	return opened.Handle, err
}

func (c *chromium) toTab(handle string) error {
	if err := c.call(nil, "SwitchToWindow", map[string]any{"handle": handle}); err != nil {
		return err
	}
	return c.tablet()
}

// Drawing returns the processes that draw pages now, for a test that stops them
// with SIGSTOP as a tablet does with an app in the background. While the process of
// the page in front is stopped no other call returns; Kill and Close do.
func (c *chromium) Drawing() (pids []int) {
	for _, p := range c.proc.below() {
		if strings.Contains(p.args, "--type=renderer") {
			pids = append(pids, p.pid)
		}
	}
	return pids
}
