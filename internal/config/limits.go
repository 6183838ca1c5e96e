package config

import (
	"time"

	"sizewright/internal/photo"
)

// The keys of [limits] are the limits of package photo, all of them: an archive of
// giant panoramas and a small machine each have cause to move some.
var limitsKeys = []key[photo.Limits]{
	newKey("max_file_mib", func(l *photo.Limits) *int64 { return &l.MaxFileBytes }, counted[int64](1, 1<<16, 1<<20, "MiB"),
		"The largest file that is opened, in MiB."),
	newKey("max_megapixels", func(l *photo.Limits) *int64 { return &l.MaxPixels }, counted[int64](1, 10_000, 1e6, "megapixels"),
		"The largest picture, in millions of pixels."),
	newKey("max_side_px", func(l *photo.Limits) *int { return &l.MaxSide }, whole(1, 1_000_000),
		"The longest side of a picture, in pixels."),
	newKey("max_decode_mib", func(l *photo.Limits) *int64 { return &l.MaxDecodeBytes }, counted[int64](1, 1<<18, 1<<20, "MiB"),
		"How much memory decoding a picture may need, as estimated from its header, in MiB. A TIFF, PSD or PSB whose pixels take more than half of it is decoded to a file in the studio."),
	newKey("max_memory_mib", func(l *photo.Limits) *int64 { return &l.MaxMemoryBytes }, counted[int64](64, 1<<18, 1<<20, "MiB"),
		"How much memory the process that decodes a picture may take, whatever the estimate, in MiB; give it more than max_decode_mib. Where the system limits the service's memory, it is at most six tenths of that."),
	newKey("max_decode_time", func(l *photo.Limits) *time.Duration { return &l.MaxDecodeTime }, span(time.Second, 24*time.Hour),
		"How long decoding a picture may take; every 8 MiB of its file add a second."),
	newKey("max_expansion", func(l *photo.Limits) *int { return &l.MaxExpansion }, whole(1, 1_000_000),
		"How many times its own length a large file may unpack to: a photograph comes to 100 at most, a trap to 1000."),
	newKey("max_scans", func(l *photo.Limits) *int { return &l.MaxScans }, whole(1, 10_000),
		"How many passes a progressive JPEG may have."),
	newKey("max_directories", func(l *photo.Limits) *int { return &l.MaxDirectories }, whole(3, 100_000),
		"How many directories of a TIFF, or of EXIF, are read: pages and previews."),
	newKey("max_directory_entries", func(l *photo.Limits) *int { return &l.MaxIFDEntries }, whole(16, 1<<16),
		"How many entries one directory of a TIFF, or of EXIF, may have."),
	newKey("max_segments", func(l *photo.Limits) *int { return &l.MaxSegments }, whole(16, 1<<24),
		"How many marker segments a JPEG, or chunks a PNG, may have."),
	newKey("max_blocks", func(l *photo.Limits) *int { return &l.MaxBlocks }, whole(1, 1<<26),
		"How many strips or tiles a TIFF may be cut into."),
	newKey("max_profile_mib", func(l *photo.Limits) *int { return &l.MaxProfileBytes }, counted[int](1, 64, 1<<20, "MiB"),
		"The largest embedded colour profile that is kept, in MiB."),
	newKey("max_exif_kib", func(l *photo.Limits) *int { return &l.MaxEXIFBytes }, counted[int](1, 1<<16, 1<<10, "KiB"),
		"The largest EXIF block of a JPEG or PNG that is read, in KiB."),
	newKey("max_text_bytes", func(l *photo.Limits) *int { return &l.MaxTextBytes }, whole(16, 1<<16),
		"The longest text of EXIF or IPTC that is kept, such as a description, in bytes; of a longer one the end is left out."),
}
