package main

// reference is what README.md leaves to sizewright(1): sections with their text.
var reference = [][2]string{
	{"PICTURES", `JPEG, PNG, TIFF, HEIF (HEIC), AVIF, WebP, and the flattened picture of PSD and PSB files are read: RGB, grey and CMYK, 8 and 16 bits. TIFF may be BigTIFF, and have ZSTD or JPEG inside.

HEIF and AVIF are decoded by the program of Debian's libheif-examples. HEVC, which HEIC files use, has no checksum: most changed bits in one cannot be found. HEIF of high dynamic range is held.

Title, description, creator, rights and keywords (XMP, IPTC) go into the print.

Camera raw, GIF, JPEG 2000, JPEG XL, OpenEXR, PDF and SVG files and animations are held. Files that lie beside pictures (.xmp, .pp3, .txt, .pdf) are ignored, and listed in the report.`},
	{"VERDICT", `A print needs what an eye of one minute of arc resolves from where people stand: 194 ppi in the hand, 160 at A4, and 134 from A3 on, since people come as near as an arm's length to any print. Under two thirds of that it is too small.

Only pixels that hold picture count: of a file that was enlarged, those that it was enlarged from, and fewer of one that is soft or shaken all over. These are estimates: a JPEG saved after an enlargement can hide that there was one.`},
	{"EDITIONS", `An edition belongs to the picture's name in its job, so an edited file goes on with it, in every folder that has the same number of prints. Other folders and "sizewright strip" stand outside. There may be gaps in the numbers. A picture that is dropped again gets the next number once its earlier ones are printed. If editions.txt is lost, it is restored from the print records.`},
	{"SERVICE", `--notify PROGRAM runs a program after each report, with the report's JSON on its standard input. It lies outside the studio, because people may change files inside. For the service, "systemctl edit" its unit and write:

[Service]

ExecStart=

ExecStart=/usr/bin/sizewright serve --studio %f --notify /usr/local/bin/tell-morning`},
}
