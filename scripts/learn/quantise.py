#!/usr/bin/env python3
"""Turns trained weights into the integers of package learned.

    quantise.py CROPS.tar NETWORK.npz OUT.weights

Luma is 0..8192. A layer's sum is of int16 weights times int16 samples, with an int32 bias; it is shifted
right, rounded, and kept within 0..8191. Both the weights' unit and the shift are powers of two: the
weights' as large as no sum can overflow, the shift as small as no crop's sample is cut.
The last layer's unit is 1/32768 of white.

The file is, little-endian: "learned2", then as uint8 the scale and the number of layers; for each layer uint8
channels in, channels out, side, shift; int32 biases; int16 weights [out][in][row][column]. Of all but the last layer
it has one channel out of each eight: the other seven are that one turned and mirrored.
"""
import io
import struct
import sys
import tarfile

import numpy as np
from PIL import Image

LUMA, MOST = 8192, 8191


def conv(x, w, b):
    """x [c,h,w], w [o,c,k,k]."""
    k = w.shape[2]
    view = np.lib.stride_tricks.sliding_window_view(x, (k, k), axis=(1, 2))
    return np.einsum("chwij,ocij->ohw", view, w, optimize=True) + b[:, None, None]


def main(crops, network, out):
    net = np.load(network)
    layers = [(net[f"w{i}"].astype(np.float64), net[f"b{i}"].astype(np.float64) if f"b{i}" in net else None) for i in range(sum(k[0] == "w" for k in net.files))]
    samples = []
    with tarfile.open(crops) as tar:
        for m in tar.getmembers()[::37]:
            im = np.asarray(Image.open(io.BytesIO(tar.extractfile(m).read())), np.float64)[:96, :96] / 255
            samples.append(im[None, ::1, ::1])
    samples = samples[:24]
    file = io.BytesIO()
    file.write(b"learned2" + struct.pack("<BB", int(net["scale"]), len(layers)))
    unit = float(LUMA)  # of a layer's input: 1.0 is this many
    ints = [np.rint(s * LUMA) for s in samples]
    for i, (w, b) in enumerate(layers):
        last = i + 1 == len(layers)
        top = MOST if i else LUMA
        total = max(np.maximum(w, 0).sum((1, 2, 3)).max(), np.maximum(-w, 0).sum((1, 2, 3)).max())  # no sample is negative
        bits = int(np.floor(np.log2(0.9 * 2**31 / (total * top))))
        bits = min(bits, int(np.floor(np.log2(32767 / np.abs(w).max()))))
        wq = np.rint(w * 2.0**bits)
        if i == 0:  # an even place must be no input
            c = w.shape[2] // 2
            wq[:, 0, c, c] -= wq.sum((1, 2, 3))
        zero = np.zeros(w.shape[0]) if b is None else b
        bq = np.rint(zero * unit * 2.0**bits)
        sums = [conv(s, wq, bq) for s in ints]
        if last:
            shift = int(np.log2(unit * 2.0**bits / 32768))
            assert shift >= 0, shift
        else:
            high = max(s.max() for s in sums)
            shift = max(0, int(np.ceil(np.log2(high / MOST))))
        half = 0 if shift == 0 else 2 ** (shift - 1)
        print(f"layer {i}: weights' bits {bits}, most {np.abs(wq).max():.0f}, shift {shift}, sums within {max(np.abs(s).max() for s in sums) / 2**31:.3f} of int32")
        ints = [np.floor((s + half) / 2.0**shift) for s in sums]
        if not last:
            ints = [np.clip(s, 0, MOST) for s in ints]
        unit = unit * 2.0**bits / 2.0**shift
        file.write(struct.pack("<BBBB", w.shape[1], w.shape[0], w.shape[2], shift))
        file.write(bq.astype("<i4").tobytes() + (wq if last else wq[::8]).astype("<i2").tobytes())
    open(out, "wb").write(file.getvalue())
    # What rounding costs, beside the same in floating point.
    worst = 0
    for s, q in zip(samples, ints):
        x = s
        for i, (w, b) in enumerate(layers):
            x = conv(x, w, np.zeros(w.shape[0]) if b is None else b)
            if i + 1 < len(layers):
                x = np.maximum(x, 0)
        worst = max(worst, np.sqrt(((x - q / 32768) ** 2).mean()))
    print(f"{out}: {len(file.getvalue())} bytes; rounding changes the result by {worst * 255:.4f} of 255 at most, root mean square of a crop")


if __name__ == "__main__":
    main(*sys.argv[1:])
