package intake

import (
	"path"
	"slices"
	"strings"
)

// Litter is what operating systems, browsers, copy programs and editors leave
// beside a user's files, or call a file before it is whole. Common practice,
// no source.
var (
	litterNames = []string{
		"thumbs.db", "ehthumbs.db", "ehthumbs_vista.db", "desktop.ini", // Windows
		"$recycle.bin", "recycler", "system volume information",
		"icon\r", "network trash folder", "temporary items", "thevolumesettingsfolder", "__macosx", // Macs
		"lost+found",         // of a file system's root
		"@eadir", "#recycle", // file servers
		"@recycle", "@tmp", "#snapshot",
	}
	litterPrefixes = []string{
		// Hidden: .DS_Store, ._marsh.jpg, .Trash-1000, .nfs0001, .stfolder,
		// .~lock.marsh.jpg#; and copies under way: .marsh.jpg.x7Gh3k of rsync,
		// .goutputstream-X7GH3K of a desktop.
		".",
		"~$", // an office program's lock
	}
	litterSuffixes = []string{
		"~", ".swp", ".swo", // editors
		".tmp", ".temp",
		".part", ".partial", ".filepart", ".crdownload", ".download", ".opdownload", ".aria2", // downloads and copies under way
	}
)

// sidecarSuffixes are of files that programs and people lay beside pictures: settings of
// an edit, notes, lists, and the reason why a picture was held. Common practice, no
// source.
var sidecarSuffixes = []string{".xmp", ".pp3", ".txt", ".pdf"}

// isSidecar tells by the name alone, in any letter case.
func isSidecar(name string) bool {
	return slices.Contains(sidecarSuffixes, strings.ToLower(path.Ext(name)))
}

// isLitter tells by the name alone, in any letter case.
func isLitter(name string) bool {
	name = strings.ToLower(name)
	return slices.Contains(litterNames, name) ||
		slices.ContainsFunc(litterPrefixes, func(p string) bool { return strings.HasPrefix(name, p) }) ||
		slices.ContainsFunc(litterSuffixes, func(s string) bool { return strings.HasSuffix(name, s) })
}
