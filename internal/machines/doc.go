// Package machines has prints made on other machines, over NATS with JetStream.
//
// The owner is the daemon of a studio. It alone takes, decides, publishes and reports. A
// worker makes strips from a recipe and a source, and knows no studio and no configuration.
// Everything here is transport: an order is always in the owner's hands, and on any trouble
// the owner makes the print itself. So nothing is lost and nothing is made twice, whatever
// becomes of the server, the network or a worker.
//
// # The protocol
//
// Digests are SHA-256, in hexadecimal. An owner has a random ID for each of its runs, and
// each order has one.
//
//	sizewright.workers           beats: who is there, and what it has in hand, every 2 seconds
//	sizewright.orders.VERSION    the work queue, a stream: one order a message
//	sizewright.owner.OWNER       requests to an owner: a worker takes, gives up or ends an order
//	SIZEWRIGHT                   the object store: sources, profiles and results
//
// VERSION is a digest of the program's version, its recipe version and its networks. A worker
// of another version waits for orders of another subject, so it is given nothing.
//
//  1. The owner sees by the beats that a worker of its version is free. It stores the source
//     and the profiles by their digests, each once for all orders in hand or lately in hand,
//     and puts the order into the queue.
//  2. A worker gets the message and asks the owner whether it may take it. The owner says no
//     to one whose work was bad, and for an order that it has taken back.
//  3. The worker fetches the bytes, compares their digests, decodes the source in a process
//     of its own, and makes the strips. As long as it gets on it tells the server so;
//     without that for [ackWait], the server gives the message to another worker.
//  4. The worker stores the strips as one object by its digest, and tells the owner the
//     digest and the strips' lengths.
//  5. The owner fetches them, compares the digest, and writes the TIFF around them: header
//     and directory are its own. Only then it chooses three strips, by crypto/rand, makes
//     them again from the source, and compares. A worker whose strip differs is given no more
//     orders in this run.
//
// The owner takes an order back if nobody takes it, if whoever has it does not get on, if
// the server gave it out [maxDeliver] times, or if the server is gone for a while: it deletes
// the message and returns an error, and its caller makes the print here. A worker that comes
// back with such an order is told that it is gone.
//
// An object lies in parts of [partBytes], each an object of the store, so that a transfer
// that was cut goes on where it was, and a slow one shows that it gets on. The store forgets
// what is older than [keepObjects].
//
// # What is trusted
//
// A worker gets a recipe and bytes by digest; it makes every path itself. The owner trusts of
// a worker only samples, three strips of which it has seen. A worker that spoils one strip of
// many may pass; one that spoils a tenth of them passes in seven of ten prints, and is
// found within a few. Who may reach the server can read the pictures on it and fill it: give
// it TLS and accounts.
package machines
