// Package photo reads a dropped file: its pixels, its colour profile, its EXIF and its
// orientation.
//
// Only this package reads bytes that may be hostile, so every limit on them is here, in
// [Limits]. Whatever the bytes, [Open] and [Identify] return a picture, or an [*Error]
// that a printmaker can act on. They do not panic, block, loop, or allocate beyond the
// limits. [Ended] tells whether a file has its end.
//
// # From file to picture
//
//	signature ──> header ───────> limits ──> decoder ──> planes ──> upright
//	formats.go    jpegheader.go   limits.go  jpeg.go     plane.go   orient.go
//	                                         jpegscans.go
//	              png.go                     png.go      adopt.go
//	              tiffheader.go              tiff.go     alpha.go
//	              exif.go, icc.go
//
// [Identify] reads the header only and decodes no pixel. Each format has one reader of its
// structure, which the header, the end check and the decoder use: jpegwalk.go for a
// JPEG's segments, png.go for chunks, ifd.go for the directories of TIFF and EXIF.
//
// HEIF and AVIF are decoded by an outside program (heifdecode.go), WebP by x/image.
// The decoders for JPEG and PNG are the standard library's. TIFF is read here, strip by
// strip into planes, so that a 16-bit picture is never in memory twice and unknown sorts
// are refused. The standard library's decoders accept damaged files without an error:
// they take a missing quantization table for zeros and ignore what they do not know. So
// all codes of a JPEG's scans are read before it is decoded (jpegscans.go,
// jpegfollow.go). What does not fit is an [*Error] or a caution.
//
// Some faults show in no header, such as a decoder's own or a disk that stops answering.
// For those, package isolate runs [Decode] in a process of its own, and share.go brings
// the picture back. Its memory is then outside the garbage collector, so call
// [Photo.Close].
//
// # A picture in memory
//
// The whole decoded source stays in memory while its prints are made, in the compact form
// of the file: 8 bits stay 8 bits, and a JPEG stays luma and (often smaller) chroma.
// [Photo.Row] converts one row at a time to float32. A 26 megapixel JPEG takes 39 MB with
// 4:2:0 chroma and 78 MB with 4:4:4. Decoding needs little more, except for a progressive
// JPEG: its decoder also holds every coefficient, five times the planes in all.
//
// The planes of a TIFF, PSD or PSB that are too much for memory lie in a [Room], a mapped
// file on the disk. Row has the system read ahead in it.
//
// Values from Row are encoded as in the file, with the profile's transfer curve. Package
// colour makes them linear.
package photo
