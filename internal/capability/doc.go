// Package capability keeps the capabilities of capabilities(7) with the process that
// they were given to.
//
// The service has one, CAP_LEASE, by which it asks the kernel whether anybody still
// writes to a file of another user (package intake). It is given as an ambient
// capability, and so would go on to every program that the service starts: the decoder
// of strangers' bytes, and the user's own command. Neither needs it.
package capability
