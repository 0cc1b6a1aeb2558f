package store

import (
	"context"
	"fmt"
	"time"
)

// Device is a tablet that was heard of.
type Device struct {
	Dev, Name    string
	First, Heard time.Time
}

// Heard notes that a device spoke at a time, by this machine's clock. An empty
// name leaves the one that is known; an earlier time than is known changes
// nothing.
func (s *Store) Heard(ctx context.Context, dev, name string, at time.Time) error {
	_, err := s.write.ExecContext(ctx, `
		INSERT INTO devices (dev, name, first_ms, last_ms) VALUES (?1, ?2, ?3, ?3)
		ON CONFLICT (dev) DO UPDATE SET
			name = CASE WHEN excluded.name = '' THEN name ELSE excluded.name END,
			last_ms = max(last_ms, excluded.last_ms)`, dev, name, at.UnixMilli())
	if err != nil {
		return fmt.Errorf("note device %s: %w", dev, err)
	}
	return nil
}

// Devices returns every device that was heard of, by device id.
func (s *Store) Devices(ctx context.Context) ([]Device, error) {
	var rows []struct {
		Dev, Name string
		FirstMS   int64 `db:"first_ms"`
		LastMS    int64 `db:"last_ms"`
	}
	if err := s.read.SelectContext(ctx, &rows, `SELECT dev, name, first_ms, last_ms FROM devices ORDER BY dev`); err != nil {
		return nil, fmt.Errorf("read devices: %w", err)
	}
	devices := make([]Device, len(rows))
	for i, r := range rows {
		devices[i] = Device{r.Dev, r.Name, time.UnixMilli(r.FirstMS), time.UnixMilli(r.LastMS)}
	}
	return devices, nil
}
