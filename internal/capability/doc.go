// Package capability keeps Linux capabilities (capabilities(7)) from being inherited by
// child processes.
//
// The service has one, CAP_LEASE, to ask the kernel whether another user's file is
// still being written (package intake). It is an ambient capability, so every program
// that the service starts would inherit it: the decoding process and the user's own
// command. Neither needs it.
package capability
