// The print as one lazy libvips pipeline, for comparison with sizewright: JPEG to 16-bit,
// enlarge, unsharp mask, TIFF with profile and ppi.
// usage: libvips_print in.jpg out.tif WIDTH HEIGHT PPI none|deflate
// gcc -O2 libvips_print.c -o libvips_print $(pkg-config --cflags --libs vips)
#include <stdlib.h>
#include <string.h>
#include <vips/vips.h>

#define DO(x) do { if (x) vips_error_exit(#x); } while (0)

int main(int argc, char **argv) {
	if (VIPS_INIT(argv[0]) || argc != 7)
		vips_error_exit("usage: libvips_print in out width height ppi none|deflate");
	const double amount = 0.6, sigma = 0.85, mm = atof(argv[5]) / 25.4;
	VipsImage *in, *wide, *big, *blur, *a, *b, *out;
	if (!(in = vips_image_new_from_file(argv[1], "access", VIPS_ACCESS_SEQUENTIAL, NULL)))
		vips_error_exit("load");
	DO(vips_linear1(in, &a, 257.0, 0.0, NULL));
	DO(vips_cast_ushort(a, &b, NULL));
	DO(vips_copy(b, &wide, "interpretation", VIPS_INTERPRETATION_RGB16, NULL));
	DO(vips_resize(wide, &big, atof(argv[3]) / wide->Xsize, "vscale", atof(argv[4]) / wide->Ysize,
		"kernel", VIPS_KERNEL_LANCZOS3, NULL));
	DO(vips_gaussblur(big, &blur, sigma, "precision", VIPS_PRECISION_INTEGER, NULL));
	DO(vips_linear1(big, &a, 1 + amount, 0.0, NULL));
	DO(vips_linear1(blur, &b, -amount, 0.5, NULL));
	DO(vips_add(a, b, &out, NULL));
	DO(vips_cast_ushort(out, &a, NULL));
	DO(vips_copy(a, &out, "xres", mm, "yres", mm, "interpretation", VIPS_INTERPRETATION_RGB16, NULL));
	DO(vips_tiffsave(out, argv[2], "compression",
		strcmp(argv[6], "deflate") ? VIPS_FOREIGN_TIFF_COMPRESSION_NONE : VIPS_FOREIGN_TIFF_COMPRESSION_DEFLATE,
		"predictor", VIPS_FOREIGN_TIFF_PREDICTOR_HORIZONTAL,
		"resunit", VIPS_FOREIGN_TIFF_RESUNIT_INCH, "xres", mm, "yres", mm, NULL));
	return 0;
}
