// Package testkit holds the packages that only tests and scripts use. The program never
// imports them.
//
//   - [sizewright/internal/testkit/faults] kills daemons, fills their disks and removes
//     their permissions, and audits the studio afterwards.
//   - [sizewright/internal/testkit/reference] gives access to the outside programs and
//     data that results are checked against.
//   - [sizewright/internal/testkit/slantededge] makes known edges, lines and zone plates,
//     and measures them (ISO 12233).
//   - [sizewright/internal/testkit/studiotest] makes studios with the records and files of
//     orders.
package testkit
