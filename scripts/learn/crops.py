#!/usr/bin/env python3
"""Cuts the crops that the enlargement is learnt from.

    crops.py SOURCES.tsv OUT.tar

Each line of SOURCES.tsv is a photograph: its source, its licence, the path of the file, how many crops
are cut from it. A photograph is reduced first, so that its own JPEG's marks and its lens's softness
are gone and a crop is as sharp as its pixels can be. Only luma is kept (ITU-R BT.601, as stored). Half of
the crops are where the most detail is, the others anywhere. Which ones is settled by the file's SHA-256,
so the same files give the same crops.
"""
import hashlib
import io
import sys
import tarfile

import numpy as np
from PIL import Image

Image.MAX_IMAGE_PIXELS = None
SIDE = 416


def luma(path):
    with Image.open(path) as im:
        rgb = np.asarray(im.convert("RGB"), np.float32)
    return rgb @ np.array([0.299, 0.587, 0.114], np.float32)


def reduced(y, rng):
    """Returns y reduced once, the more the larger it is."""
    short = min(y.shape)
    by = 1.0 if short < 1100 else rng.choice([1.25, 1.5]) if short < 1700 else rng.choice([1.5, 2.0]) if short < 2600 else rng.choice([2.0, 2.5])
    if by == 1:
        return y
    size = (int(y.shape[1] / by), int(y.shape[0] / by))
    return np.asarray(Image.fromarray(y).resize(size, rng.choice([Image.Resampling.LANCZOS, Image.Resampling.BOX, Image.Resampling.BICUBIC])))


def crops(y, n, rng):
    """Yields n crops, half of them where y has the most detail."""
    h, w = y.shape
    side = min(SIDE, h, w)
    detail = np.abs(4 * y[1:-1, 1:-1] - y[:-2, 1:-1] - y[2:, 1:-1] - y[1:-1, :-2] - y[1:-1, 2:])
    seen, places = [], []
    for _ in range(40):
        t, l = rng.integers(0, h - side + 1), rng.integers(0, w - side + 1)
        places.append((np.sqrt(detail[t:t + side - 2, l:l + side - 2]).mean(), t, l))
    best = sorted(places, reverse=True)
    for order in (best, places):
        for _, t, l in order:
            if all(abs(t - a) > side * 0.6 or abs(l - b) > side * 0.6 for a, b in seen):
                seen.append((t, l))
                yield y[t:t + side, l:l + side]
            if len(seen) >= (n + 1) // 2 and order is best or len(seen) >= n:
                break


def main(sources, out):
    with tarfile.open(out, "w") as tar:
        for line in open(sources):
            source, licence, path, n = line.rstrip("\n").split("\t")
            data = open(path, "rb").read()
            digest = hashlib.sha256(data).hexdigest()
            rng = np.random.default_rng(int(digest[:12], 16))
            try:
                y = reduced(luma(path), rng)
            except Exception as err:
                print("left out:", path, err, file=sys.stderr)
                continue
            if min(y.shape) < 160:
                continue
            for i, crop in enumerate(crops(y, int(n), rng)):
                file = io.BytesIO()
                Image.fromarray(np.clip(crop + 0.5, 0, 255).astype(np.uint8)).save(file, "JPEG", quality=97)
                info = tarfile.TarInfo(f"{source}/{digest[:12]}-{i}.jpg")
                info.size = file.tell()
                file.seek(0)
                tar.addfile(info, file)


if __name__ == "__main__":
    main(*sys.argv[1:])
