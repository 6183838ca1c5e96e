// Package config reads sizewright.toml, the one file in which a studio says how
// it prints, into checked values. A studio without the file works: [Default]
// holds every default, and nothing else does.
//
// How a print is made is layered, the later overriding the earlier key by key:
//
//	defaults < [print] < [stock.NAME] < [folder."SIZE STOCK"]
//
// [Config.Settings] lays the layers over each other for one drop folder. Stocks
// and folders are found by their canonical names (package printsize), so that
// [folder."a4  Lustre"] speaks of the drop folder "A4 lustre".
//
// Most keys know nothing of each other, but a print is converted to one space:
// a layer that names a profile puts aside an inherited working_space, and the
// other way round. [Config.FilesNamed] lists the profiles and fonts that the
// file names. This package only reads their names; whoever opens one says what is
// wrong with it by [NamedFile.Problem], at its place in the file.
//
// A person who mends a file wants to mend it once: [Parse] reports every
// mistake, each with its line, its column and what to do, as [Problems].
//
// What does nothing in any print, or spoils paper, is found when the file holds no such
// mistake (effects.go). It comes as a warning, since it has to keep no service from
// starting, and "check" counts it as a mistake.
//
// To take a key away, or to rename it: move it from keys.go to retired.go, with a sentence
// that says what to use in its place. A file that still has it is used, with a warning
// ([Config].Warnings), so an upgrade keeps no studio from working.
//
// Any other key that is not known is a mistake. It is most likely misspelt, and a print
// made without it would be wrong on costly paper; so serve and once do not start with it,
// and a daemon that is to read the file again goes on with what it has. The same holds
// for a key of a later version, since nothing here knows what it would have changed.
//
// To add a key: a field in [Config] or [Settings], its default in [Default], a
// line in keys.go with its check and its sentence, and the same sentence in
// configs/sizewright.toml. The tests say if one of them is missing.
package config
