package tiff

import "slices"

// Tags, in ascending order, as a directory requires. From TIFF 6.0 unless noted.
const (
	tagNewSubfileType   = 254
	tagImageWidth       = 256
	tagImageLength      = 257
	tagBitsPerSample    = 258
	tagCompression      = 259
	tagPhotometric      = 262
	tagImageDescription = 270
	tagMake             = 271
	tagModel            = 272
	tagStripOffsets     = 273
	tagOrientation      = 274
	tagSamplesPerPixel  = 277
	tagRowsPerStrip     = 278
	tagStripByteCounts  = 279
	tagXResolution      = 282
	tagYResolution      = 283
	tagPlanarConfig     = 284
	tagResolutionUnit   = 296
	tagSoftware         = 305
	tagDateTime         = 306
	tagArtist           = 315
	tagPredictor        = 317
	tagInkSet           = 332
	tagNumberOfInks     = 334
	tagSampleFormat     = 339
	tagXMP              = 700 // ISO 16684-3
	tagCopyright        = 33432
	tagExifIFD          = 34665 // EXIF 2.32, 4.6.3
	tagICCProfile       = 34675 // ICC.1:2022, annex B.4

	// In the EXIF directory (EXIF 2.32, 4.6.5).
	tagExifVersion      = 36864
	tagDateTimeOriginal = 36867
	tagFlashpixVersion  = 40960
	tagColorSpace       = 40961
)

// tail returns everything that follows the strips, for strips that end at the even
// offset at, and the offset of the main directory in the file.
func (h Header) tail(at int64, big bool, offsets, counts []int64) (tail []byte, ifd int64) {
	ifd = at
	exif := int64(0)
	if fields := h.exifFields(); fields != nil {
		// First, because the main directory contains its offset.
		exif = at
		tail = appendDirectory(tail, at, big, fields)
		ifd = at + int64(len(tail))
	}
	return appendDirectory(tail, ifd, big, h.fields(big, exif, offsets, counts)), ifd
}

// exifFields returns the EXIF directory, or nil if it would be empty. Besides the
// capture time it has the tags that EXIF requires. EXIF's colour space can only be sRGB
// or "uncalibrated"; the profile gives the real one.
func (h Header) exifFields() []field {
	taken := texts(tagDateTimeOriginal, h.DateTimeOriginal)
	if taken == nil {
		return nil
	}
	const uncalibrated = 0xffff
	return []field{
		undefined(tagExifVersion, []byte("0232")),
		taken[0],
		undefined(tagFlashpixVersion, []byte("0100")),
		shorts(tagColorSpace, uncalibrated),
	}
}

// fields returns the main directory. exif is the offset of the EXIF directory, or 0.
func (h Header) fields(big bool, exif int64, offsets, counts []int64) []field {
	const upright, interleaved, inch, differences = 1, 1, 2, 2
	samples := h.Photometric.Samples()
	f := []field{
		long(tagNewSubfileType, 0),
		long(tagImageWidth, h.Width),
		long(tagImageLength, h.Height),
		shorts(tagBitsPerSample, slices.Repeat([]uint16{uint16(h.Bits)}, samples)...),
		shorts(tagCompression, h.Compression.tag()),
		shorts(tagPhotometric, h.Photometric.tag()),
	}
	f = append(f, texts(tagImageDescription, h.Description)...)
	f = append(f, texts(tagMake, h.Make)...)
	f = append(f, texts(tagModel, h.Model)...)
	f = append(f,
		longs(tagStripOffsets, big, offsets),
		shorts(tagOrientation, upright),
		shorts(tagSamplesPerPixel, uint16(samples)),
		long(tagRowsPerStrip, min(h.RowsPerStrip, h.Height)),
		longs(tagStripByteCounts, big, counts),
		rational(tagXResolution, h.PPI),
		rational(tagYResolution, h.PPI),
		shorts(tagPlanarConfig, interleaved),
		shorts(tagResolutionUnit, inch),
	)
	f = append(f, texts(tagSoftware, h.Software)...)
	f = append(f, texts(tagDateTime, h.DateTime)...)
	f = append(f, texts(tagArtist, h.Artist)...)
	if h.Compression.predicts() {
		f = append(f, shorts(tagPredictor, differences))
	}
	if h.Photometric == CMYK {
		const inkSetCMYK = 1
		f = append(f, shorts(tagInkSet, inkSetCMYK), shorts(tagNumberOfInks, 4))
	}
	const unsigned = 1
	f = append(f, shorts(tagSampleFormat, slices.Repeat([]uint16{unsigned}, samples)...))
	if len(h.XMP) > 0 {
		f = append(f, field{tagXMP, kindByte, len(h.XMP), h.XMP})
	}
	f = append(f, texts(tagCopyright, h.Copyright)...)
	if exif != 0 {
		f = append(f, pointer(tagExifIFD, big, exif))
	}
	if len(h.Profile) > 0 {
		f = append(f, undefined(tagICCProfile, h.Profile))
	}
	return f
}
