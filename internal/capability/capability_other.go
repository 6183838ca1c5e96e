//go:build !linux

package capability

// ClearInheritable does nothing: only Linux has capabilities.
func ClearInheritable() error { return nil }

// DropAll does nothing.
func DropAll() error { return nil }
