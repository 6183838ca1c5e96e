//go:build !linux

package capability

// Withhold has nothing to withhold: capabilities are Linux's.
func Withhold() error { return nil }

// Renounce has nothing to give up.
func Renounce() error { return nil }
