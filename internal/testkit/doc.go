// Package testkit is the roof over what only tests and scripts use; the program never
// imports it.
//
//   - [sizewright/internal/testkit/faults] kills daemons, fills their disks and takes
//     their permissions away, and audits the studio afterwards.
//   - [sizewright/internal/testkit/reference] is the outside programs and data that
//     work is checked against.
//   - [sizewright/internal/testkit/slantededge] is known edges, lines and zone plates,
//     and instruments that measure them (ISO 12233).
//   - [sizewright/internal/testkit/studiotest] is studios with the records and files of
//     orders in them.
package testkit
