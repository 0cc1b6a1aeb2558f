package draw

import "fmt"

// Picture is a photo in a frame. Its sides are in the proportion of its pixels, or it is
// drawn out of shape. Without bytes it is a frame: whoever draws has no pictures.
type Picture struct {
	Layer Layer
	Box
	JPEG []byte // upright
}

// On returns the layer.
func (p Picture) On() Layer { return p.Layer }

// Bounds returns its frame.
func (p Picture) Bounds() Box { return p.Box }

func (p Picture) check() error {
	if p.Layer == Cut {
		return fmt.Errorf("a picture is not cut")
	}
	if err := finite("place", p.Min[0], p.Min[1], p.Max[0], p.Max[1]); err != nil {
		return err
	}
	if len(p.JPEG) > 0 && (len(p.JPEG) < 3 || p.JPEG[0] != 0xff || p.JPEG[1] != 0xd8 || p.JPEG[2] != 0xff) {
		return fmt.Errorf("a picture that does not begin as a JPEG does")
	}
	if err := positive("width", p.Width()); err != nil {
		return err
	}
	return positive("height", p.Height())
}

func (p Picture) moved(dx, dy float64) Entity {
	p.Min, p.Max = shift(p.Min, dx, dy), shift(p.Max, dx, dy)
	return p
}

// mirrored moves it with what it shows; like text it stays readable.
func (p Picture) mirrored() Entity {
	p.Min[0], p.Max[0] = 0-p.Max[0], 0-p.Min[0]
	return p
}
