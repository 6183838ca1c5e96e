// Package studio knows the directory tree a printmaker works in, and is the
// only package that renames a user's file.
//
//	studio/
//	  sizewright.toml           optional
//	  drop/<folder>/            photographs waiting; a folder's name is its size
//	  outbox/<folder>/          prints, their records and previews
//	  outbox/morning/           one report a night
//	  held/<folder>/            originals that were not made, the reason beside each
//	  originals/<folder>/       originals that were made
//	  .sizewright/claims/<id>/  one photograph in hand
//	  .sizewright/format        the studio's format, a number
//	  .sizewright/lock          held by the one process at work here
//	  .sizewright/status.json   what that process does
//	  .sizewright/interrupted/  how often a photograph was in hand when a process died
//
// The three are called after the drop folder, and originals as they were dropped, in
// names that every machine can open: see package filename.
//
// # One photograph's way
//
// [Studio.Claim] renames a photograph out of its drop folder into a claim.
// Files are made inside the claim, at [Claim.MadePath]. Then exactly one of
// three things ends it: [Claim.Publish] (the prints to outbox/, the original
// to originals/), [Claim.Hold] (the original and a reason to held/) or
// [Claim.Return] (the original back to its drop folder, as if never touched).
//
// # One at a time
//
// One process works at a studio: [Studio.Lock] refuses a second. The lock dies with
// its holder, and what that had in hand the next start puts right, with
// [Studio.Recover]. Others may look on ([Studio.AtWork], [Studio.Claims]) and write
// pages.
//
// # Why nothing is lost
//
// A claim passes through three states, each told apart by what lies on disk:
//
//	order.json, no publish.json   undecided: the original belongs in drop/
//	publish.json                  decided: every move it lists must happen
//	neither                       over, or never begun
//
// order.json is on disk before the original is moved, so the photograph's drop folder is
// always known. The rename that gives publish.json its name decides: before it [Studio.Recover] undoes, after it
// Recover completes. A journalled move that has already happened is recognised
// by its source being gone, so completing twice does no harm.
//
// Every move of a user's file, and every file arriving in outbox/, held/ or
// originals/, is a rename that fails when its target exists (renameat2 with
// RENAME_NOREPLACE, or link and unlink where the file system has no such
// call; moveByMark has what is done with others' files there). Only generated
// pages, by [Studio.WriteFile], replace what was there.
// No path inside a studio is followed through a symbolic link: each directory
// is opened from its parent with O_NOFOLLOW, and work is done relative to it.
//
// # What is synced, and what for
//
//	order.json, its claim, claims/   before a photograph leaves its drop folder; else it is in a claim that does not know where it came from
//	original/, then drop/<folder>    after it; else it could be under neither name
//	every file made, and original    before the decision; else a record could lie in outbox/ beside an empty print
//	publish.json and its directory   before anything moves; else half a set is moved and the rest undone
//	outbox/, originals/, held/       before publish.json is removed; else files still on their way are forgotten
//	drop/<folder>                    before order.json is removed, when a photograph goes back
//	a new directory's parent         before anything is moved into it
//
// # What is shown, and what is not
//
// The tests stop the package before every single change it makes to the disk,
// fail each change once, kill real processes, and replay power cuts in which
// changes not yet fsynced are lost in many mixtures; after each they check that
// every original is in exactly one place and every set of prints is whole or
// absent. They show that the order of changes is right. They cannot show that
// fsync does what it promises: a drive that acknowledges a flush it has not
// made, a file system that splits one rename in two, or a network share that
// syncs later can still lose what was written just before a power cut. Nor can a rename stop a program that still holds the file open
// from writing to it; [Claim.Unchanged] tells when that happened.
package studio
