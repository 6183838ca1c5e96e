//go:build !linux

package capability

// Withhold does nothing: only Linux has capabilities.
func Withhold() error { return nil }

// Renounce does nothing.
func Renounce() error { return nil }
