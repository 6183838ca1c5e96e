// Package photo turns a dropped file into a picture that can be trusted: its
// pixels, its colour profile, its EXIF and which way up it goes.
//
// It is the only package that reads a stranger's bytes, so every limit on
// hostile input lives here, in one struct, [Limits]. Whatever the bytes, [Open]
// and [Identify] return a picture or an [*Error] that a printmaker can act on;
// they do not panic, block, loop, or allocate past the limits.
//
// # From file to picture
//
//	signature ──> header walk ──> limits ──> decoder ──> planes ──> upright
//	formats.go    jpegheader.go   limits.go  jpeg.go     plane.go   orient.go
//	                                         jpegscans.go
//	              pngchunks.go               png.go      adopt.go
//	              tiffheader.go              tiff.go     alpha.go
//	              exif.go, icc.go
//
// The header walk reads metadata without decoding a pixel and is all that
// [Identify] does. The decoders are the standard library's for JPEG and PNG;
// TIFF is read strip by strip into planes here, so that a 16-bit picture is never
// held twice, and so that what is not understood is refused and not guessed.
// The standard library's decoders are lenient without a word: they take a missing
// quantization table for zeros and pass over what they do not know. So a JPEG's
// scans are followed to their last code before it is decoded (jpegscans.go,
// jpegfollow.go), and what does not fit is an [*Error] or a caution.
//
// EXIF and TIFF share one directory reader, ifd.go, which follows no link and
// believes no count.
//
// What a header does not give away (a decoder's own fault, a disk that stops
// answering) is package isolate's, which runs [Decode] in a process of its own;
// share.go takes the picture across. Its memory is then no longer the
// collector's, which is what [Photo.Close] is for.
//
// # How a picture is held
//
// The decoded source stays whole in memory for as long as its prints are being
// made, in the compact form it was stored in: 8 bits stay 8 bits, and a JPEG
// stays luma and (perhaps quarter-size) chroma. [Photo.Row] turns one row at a
// time into float32, so the wide form of the picture never exists. A 26
// megapixel JPEG is 39 MB with 4:2:0 chroma and 78 MB with 4:4:4, and decoding it
// needs hardly more, unless it is progressive: its decoder holds every
// coefficient as well, five times the planes in all.
//
// Values from Row are encoded, as in the file: the transfer curve of the profile
// is still on them. Making them linear is the colour package's work.
package photo
