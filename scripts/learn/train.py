#!/usr/bin/env python3
"""Trains the networks of package learned: luma at twice or four times its size.

    train.py CROPS.tar HELD.tar OUT SECONDS any|clean NAME=scale,channels,layers,tie,bias[:KNOWN.npz] ...

All networks that are named learn from the same reductions, one step of each in turn, for SECONDS together.
HELD.tar has photographs that nothing is learnt from; they are scored at the end. For each network OUT gets
NAME.npz (weights in float32) and log.txt has the losses and the scores. A network may begin with what another has
learnt, KNOWN.npz.

A network predicts what the kernel lacks: the enlarged luma less what package render's own kernel makes of
the reduced luma. The loss is the squared error of encoded luma, divided for each crop by that of the kernel
alone, so that a soft crop counts as much as a sharp one.
"""
import io
import math
import sys
import tarfile
import time

import numpy as np
import torch
import torch.nn.functional as F
from PIL import Image

DEV = "cuda"
torch.manual_seed(1)
rng = np.random.default_rng(1)

# ---- the kernel of package render: Lanczos of three lobes that undoes the pixels' aperture, applied to luma
# through a sigmoid, and kept from ringing by the bounds of package vector.

APERTURE, CURVE, REACH = 1 / 24, 0.6, 0.25


def lanczos3(x):
    x = np.abs(x)
    return np.where(x < 3, np.sinc(x) * np.sinc(x / 3), 0)


def apertured(x):
    return (1 + 2 * APERTURE) * lanczos3(x) - APERTURE * (lanczos3(x - 1) + lanczos3(x + 1))


def phases(kernel, scale, half):
    """Returns weights[scale][2*half+1] over samples -half..half around the sample below each output."""
    out = np.zeros((scale, 2 * half + 1))
    for p in range(scale):
        u = (p + 0.5) / scale - 0.5
        w = kernel(np.arange(-half, half + 1) - u)
        out[p] = w / w.sum()
    return torch.tensor(out, dtype=torch.float32, device=DEV)


def enlarge(x, w):
    """Enlarges x [n,1,h,w] by the phases w, rows and columns; the ends are repeated."""
    s, taps = w.shape
    half = taps // 2
    n, _, h, wd = x.shape
    x = F.pad(x, (half, half, 0, 0), mode="replicate")
    x = F.conv2d(x, w.view(s, 1, 1, taps)).permute(0, 2, 3, 1).reshape(n, 1, h, wd * s)
    x = F.pad(x, (0, 0, half, half), mode="replicate")
    return F.conv2d(x, w.view(s, 1, taps, 1)).permute(0, 2, 1, 3).reshape(n, 1, h * s, wd * s)


def sigmoid(v):
    return v + CURVE * v * (1 - v) * (2 * v - 1)


GRID = torch.linspace(0, 1, 4097, dtype=torch.float64)
_lo, _hi = torch.zeros(4097, dtype=torch.float64), torch.ones(4097, dtype=torch.float64)
for _ in range(50):
    _mid = (_lo + _hi) / 2
    _less = sigmoid(_mid) < GRID
    _lo, _hi = torch.where(_less, _mid, _lo), torch.where(_less, _hi, _mid)
UNSIGMOID = _lo.float().to(DEV)


def unsigmoid(v):
    at = v.clamp(0, 1) * 4096
    i = at.floor().clamp(0, 4095).long()
    f = at - i
    return UNSIGMOID[i] * (1 - f) + UNSIGMOID[i + 1] * f


def bounds(x):
    """Returns the least and greatest value of each cell between four samples, [n,1,h+1,w+1], the outer ones of repeated ends."""
    p = F.pad(x, (2, 2, 2, 2), mode="replicate")

    def bends(a, b, c, d):
        m, n = a + c - 2 * b, b + d - 2 * c
        return torch.minimum(m, n), torch.maximum(m, n)

    b, c, d, e = p[..., 1:-2, 1:-2], p[..., 1:-2, 2:-1], p[..., 2:-1, 1:-2], p[..., 2:-1, 2:-1]
    lo, hi = torch.minimum(torch.minimum(b, c), torch.minimum(d, e)), torch.maximum(torch.maximum(b, c), torch.maximum(d, e))
    for line in ((p[..., 1:-2, :-3], b, c, p[..., 1:-2, 3:]), (p[..., 2:-1, :-3], d, e, p[..., 2:-1, 3:]),
                 (p[..., :-3, 1:-2], b, d, p[..., 3:, 1:-2]), (p[..., :-3, 2:-1], c, e, p[..., 3:, 2:-1])):
        least, most = bends(*line)
        lo = lo - REACH / 2 * least.clamp(min=0)
        hi = hi - REACH / 2 * most.clamp(max=0)
    return lo, hi


def linear(x):
    return np.maximum(0, 1 - np.abs(x))


class Kernel:
    def __init__(self, scale):
        self.scale = scale
        self.w = phases(apertured, scale, 4)
        # Cells lie half a sample beside the samples; an output between samples i and i+1 reads cells i-1, i, i+1.
        self.cells = np.zeros((scale, 3))
        for p in range(scale):
            u = (p + 0.5) / scale - 0.5
            self.cells[p] = linear(np.array([-0.5, 0.5, 1.5]) - u)
        self.cells = torch.tensor(self.cells[:, :2], dtype=torch.float32, device=DEV)

    def spread(self, x):
        """Interpolates cells [n,1,h+1,w+1] at the outputs."""
        s = self.scale
        n, _, h, wd = x.shape
        x = F.conv2d(x, self.cells.view(s, 1, 1, 2)).permute(0, 2, 3, 1).reshape(n, 1, h, (wd - 1) * s)
        return F.conv2d(x, self.cells.view(s, 1, 2, 1)).permute(0, 2, 1, 3).reshape(n, 1, (h - 1) * s, (wd - 1) * s)

    def __call__(self, x):
        x = unsigmoid(x)
        y = enlarge(x, self.w)
        lo, hi = bounds(x)
        y = torch.minimum(torch.maximum(y, self.spread(lo)), self.spread(hi))
        return sigmoid(y)


# ---- the networks

GROUP = [(t, fy, fx) for t in (0, 1) for fy in (0, 1) for fx in (0, 1)]


def act(g, k):
    """The symmetry g of a square, on the last two axes."""
    t, fy, fx = g
    if t:
        k = np.swapaxes(k, -1, -2)
    if fy:
        k = k[..., ::-1, :]
    if fx:
        k = k[..., ::-1]
    return k


def compose_table():
    probe = np.arange(9).reshape(3, 3)
    keys = {act(g, probe).tobytes(): i for i, g in enumerate(GROUP)}
    return [[keys[act(a, act(b, probe)).tobytes()] for b in GROUP] for a in GROUP]  # a after b


TABLE = compose_table()


def permutation(kind, count, g):
    """Where a symmetry takes each channel: fields of eight, one channel each, or the places of a pixel shuffle."""
    if kind == "one":
        return np.arange(count)
    if kind == "fields":
        p = np.arange(count)
        return np.array([c // 8 * 8 + TABLE[g][c % 8] for c in p])
    s = int(math.isqrt(count))
    places = act(GROUP[g], np.arange(count).reshape(s, s)).reshape(-1)  # places[new] = old
    out = np.empty(count, int)
    out[places] = np.arange(count)
    return out


def orbits(cout, cin, k, kout, kin):
    """Returns for each weight [cout][cin][k][k] the number of its orbit under the eight symmetries."""
    n = cout * cin * k * k
    label = np.arange(n).reshape(cout, cin, k, k)
    least = label.copy()
    for g in range(8):
        po, pi = permutation(kout, cout, g), permutation(kin, cin, g)
        moved = np.empty_like(label)
        moved[np.ix_(po, pi)] = act(GROUP[g], label)
        least = np.minimum(least, moved)
    # One pass finds the least of each orbit because the eight symmetries are a group.
    _, index = np.unique(least, return_inverse=True)
    return index.reshape(cout, cin, k, k), index.max() + 1


class Conv(torch.nn.Module):
    def __init__(self, cout, cin, k, kout, kin, tie, bias, gain=1.0):
        super().__init__()
        self.shape, self.tie = (cout, cin, k, k), tie
        std = gain * math.sqrt(2 / (cin * k * k))
        if tie:
            index, n = orbits(cout, cin, k, kout, kin)
            self.register_buffer("index", torch.tensor(index.reshape(-1)))
            self.free = torch.nn.Parameter(torch.randn(n) * std)
        else:
            self.free = torch.nn.Parameter(torch.randn(cout * cin * k * k) * std)
        self.first = cin == 1
        per = 8 if tie and kout == "fields" else cout if tie else 1
        self.per = per
        self.bias = torch.nn.Parameter(torch.zeros(max(cout // per, 1))) if bias else None

    def weight(self):
        w = self.free[self.index] if self.tie else self.free
        w = w.view(self.shape)
        return w - w.mean((2, 3), keepdim=True) if self.first else w  # an even place is no input

    def forward(self, x):
        b = None if self.bias is None else self.bias.repeat_interleave(self.per)
        return F.conv2d(x, self.weight().to(x.dtype), None if b is None else b.to(x.dtype))


class Net(torch.nn.Module):
    def __init__(self, scale, channels, layers, tie, bias):
        super().__init__()
        self.scale, self.halo = scale, 2 + layers + 1
        convs = [Conv(channels, 1, 5, "fields", "one", tie, bias)]
        convs += [Conv(channels, channels, 3, "fields", "fields", tie, bias) for _ in range(layers)]
        convs += [Conv(scale * scale, channels, 3, "places", "fields", tie, False, 0.1)]
        self.convs = torch.nn.ModuleList(convs)

    def forward(self, x):
        """x [n,1,h,w] luma; returns [n,1,s(h-2 halo),s(w-2 halo)]."""
        for i, conv in enumerate(self.convs):
            x = conv(x)
            if i + 1 < len(self.convs):
                x = F.relu(x)
        return F.pixel_shuffle(x.float(), self.scale)

    def even(self):
        """What the network says of an even place, which is taken off."""
        side = 2 * self.halo + 1
        return self(torch.zeros(1, 1, side, side, device=DEV))


def begin(net, path):
    """Takes the weights of a trained network, perhaps of another scale (then without the last layer's) or of fewer
    layers: those that it lacks hand on what they get."""
    with np.load(path) as known:
        given = sum(k[0] == "w" for k in known.files)
        last = len(net.convs) - 1
        for i, conv in enumerate(net.convs):
            j = given - 1 if i == last else i
            if j < given - 1 or i == last:
                w, b = known[f"w{j}"], known.get(f"b{j}")
            else:
                w, b = np.zeros(conv.shape, np.float32), np.zeros(conv.shape[0], np.float32)
                w[range(len(w)), range(len(w)), 1, 1] = 1
            if w.shape != conv.shape:
                continue
            sums = torch.zeros_like(conv.free).index_add_(0, conv.index, tensor(w).view(-1))
            conv.free.data = sums / torch.bincount(conv.index, minlength=len(sums))
            if conv.bias is not None:
                conv.bias.data = tensor(b).view(-1, conv.per).mean(1)


def residual(net, x):
    y = net(x)
    if net.convs[0].bias is not None:
        s = y.shape
        y = y - net.even().repeat(1, 1, s[2] // net.scale, s[3] // net.scale)
    return y


# ---- what reduces a picture


def srgb_decode(x):
    return torch.where(x <= 0.04045, x / 12.92, ((x.clamp(min=0) + 0.055) / 1.055) ** 2.4)


def srgb_encode(x):
    return torch.where(x <= 0.0031308, x * 12.92, 1.055 * x.clamp(min=1e-9) ** (1 / 2.4) - 0.055)


def cubic(x, b, c):
    x = np.abs(x)
    return np.where(x < 1, ((12 - 9 * b - 6 * c) * x**3 + (-18 + 12 * b + 6 * c) * x**2 + 6 - 2 * b) / 6,
                    np.where(x < 2, ((-b - 6 * c) * x**3 + (6 * b + 30 * c) * x**2 + (-12 * b - 48 * c) * x + 8 * b + 24 * c) / 6, 0))


def reducing(kind, s, width):
    """Returns the taps of a reduction by s, over 6s samples centred on the output."""
    x = (np.arange(6 * s) - 3 * s + 0.5) / s
    w = {"area": lambda: (np.abs(x) < 0.5).astype(float), "bicubic": lambda: cubic(x, 0, 0.5), "mitchell": lambda: cubic(x, 1 / 3, 1 / 3),
         "lanczos": lambda: lanczos3(x), "gauss": lambda: np.exp(-0.5 * (x / width) ** 2)}[kind]()
    return w / w.sum()


def gaussian(sigma, half):
    x = np.arange(-half, half + 1)
    w = np.exp(-0.5 * (x / np.maximum(sigma, 1e-3)) ** 2)
    return w / w.sum()


def each(x, taps, stride=1):
    """Filters each picture of x [n,1,h,w] along both directions by its own taps [n,k]."""
    n, _, h, w = x.shape
    k = taps.shape[1]
    x = x.view(1, n, h, w)
    x = F.conv2d(x, taps.view(n, 1, 1, k), stride=(1, stride), groups=n)
    x = F.conv2d(x, taps.view(n, 1, k, 1), stride=(stride, 1), groups=n)
    return x.view(n, 1, x.shape[2], x.shape[3])


Q = torch.tensor([[16, 11, 10, 16, 24, 40, 51, 61], [12, 12, 14, 19, 26, 58, 60, 55], [14, 13, 16, 24, 40, 57, 69, 56],
                  [14, 17, 22, 29, 51, 87, 80, 62], [18, 22, 37, 56, 68, 109, 103, 77], [24, 35, 55, 64, 81, 104, 113, 92],
                  [49, 64, 78, 87, 103, 121, 120, 101], [72, 92, 95, 98, 112, 100, 103, 99]], dtype=torch.float32, device=DEV)
DCT = torch.tensor([[math.sqrt((1 if u == 0 else 2) / 8) * math.cos((2 * i + 1) * u * math.pi / 16) for i in range(8)] for u in range(8)],
                   dtype=torch.float32, device=DEV)


def jpeg(x, quality):
    """Saves luma as JPEG of the given qualities [n] and reads it again: ITU-T T.81's example table, as libjpeg scales it."""
    n, _, h, w = x.shape
    scale = torch.where(quality < 50, 5000 / quality, 200 - 2 * quality).view(n, 1, 1, 1, 1, 1)
    q = ((Q * scale + 50) / 100).floor().clamp(1, 255)
    hh, ww = h // 8 * 8, w // 8 * 8
    b = (x[..., :hh, :ww] * 255 - 128).view(n, 1, hh // 8, 8, ww // 8, 8).permute(0, 1, 2, 4, 3, 5)
    c = DCT @ b @ DCT.T
    c = (c / q).round() * q
    b = (DCT.T @ c @ DCT).permute(0, 1, 2, 4, 3, 5).reshape(n, 1, hh, ww)
    out = x.clone()
    out[..., :hh, :ww] = ((b + 128).round() / 255).clamp(0, 1)
    return out


def pick(n, share):
    return torch.tensor(rng.random(n) < share, device=DEV).view(n, 1, 1, 1)


def tensor(a):
    return torch.tensor(np.asarray(a), dtype=torch.float32, device=DEV)


# How often sources are soft, sharpened by a camera, noisy and saved as JPEG.
SHARES = {"any": (0.35, 0.2, 0.4, 0.4), "clean": (0.05, 0.2, 0.25, 0.2)}
QUALITIES = {"any": [75, 80, 85, 88, 90, 92, 94, 95, 96, 97, 98], "clean": [92, 94, 95, 96, 97, 98]}


def reduce_batch(truth, s, mix):
    """Makes sources of crops of truth [n,1,h,w]. Returns the source, and the truth as it would be of that source."""
    n = truth.shape[0]
    # Soft pictures, and ones that a camera sharpened: blurred, or less their blur, at the truth's own scale.
    soft, sharpened, grainy, lossy = SHARES[mix]
    half = 3 * s + 3
    sigma = np.where(rng.random(n) < soft, rng.uniform(0.3, 1.1, n) * s, 1e-3)
    sharp = np.where((rng.random(n) < sharpened) & (sigma < 0.01), rng.uniform(0.1, 0.8, n), 0)
    width = np.where(sharp > 0, rng.uniform(0.4, 1.0, n) * s, sigma)
    taps = tensor([gaussian(w, half) for w in width])
    padded = F.pad(truth, (half,) * 4, mode="reflect")
    blurred = each(padded, taps)
    a = tensor(sharp).view(n, 1, 1, 1)
    truth = torch.where(a > 0, truth + a * (truth - blurred), blurred).clamp(0, 1)
    # The reduction.
    kinds = rng.choice(["area", "area", "bicubic", "lanczos", "mitchell", "gauss"], n)
    taps = tensor([reducing(k, s, rng.uniform(0.3, 0.55)) for k in kinds])
    light = pick(n, 0.5)
    off = (6 * s - s) // 2
    small = each(F.pad(torch.where(light, srgb_decode(truth), truth), (off,) * 4, mode="reflect"), taps, s)
    small = torch.where(light, srgb_encode(small), small).clamp(0, 1)
    # Noise, which the truth keeps.
    noise = torch.randn_like(small) * tensor(np.where(rng.random(n) < grainy, rng.exponential(2.5 / 255, n), 0)).view(n, 1, 1, 1)
    noise = torch.where(pick(n, 0.4), F.avg_pool2d(F.pad(noise, (1, 1, 1, 1), mode="reflect"), 3, 1) * 2, noise)
    noisy = (small + noise).clamp(0, 1)
    saved = (noisy * 255).round() / 255
    source = torch.where(pick(n, lossy), jpeg(saved, tensor(rng.choice(QUALITIES[mix], n))), torch.where(pick(n, 0.15), noisy, saved))
    return truth, small, noisy, source


class Crops:
    def __init__(self, path):
        byshape = {}
        for name, im in pictures(path):
            if min(im.shape) >= 416:
                byshape.setdefault("all", []).append(im[:416, :416])
        self.all = torch.tensor(np.stack(byshape["all"]), device=DEV)

    def batch(self, n, side):
        i = torch.tensor(rng.integers(0, len(self.all), n), device=DEV)
        t, l = rng.integers(0, 416 - side + 1, n), rng.integers(0, 416 - side + 1, n)
        rows = tensor(t).long().view(n, 1, 1) + torch.arange(side, device=DEV).view(1, side, 1)
        cols = tensor(l).long().view(n, 1, 1) + torch.arange(side, device=DEV).view(1, 1, side)
        x = self.all[i.view(n, 1, 1), rows, cols].float() / 255
        flip = rng.integers(0, 8)
        if flip & 1:
            x = x.transpose(1, 2)
        if flip & 2:
            x = x.flip(1)
        if flip & 4:
            x = x.flip(2)
        # Darker, lighter and flatter pictures.
        scale = tensor(np.where(rng.random(n) < 0.3, rng.uniform(0.3, 1, n), 1)).view(n, 1, 1)
        low = tensor(rng.random(n)).view(n, 1, 1) * (1 - scale)
        return (x * scale + low).unsqueeze(1)


def pictures(path):
    with tarfile.open(path) as tar:
        for member in tar:
            im = Image.open(io.BytesIO(tar.extractfile(member).read()))
            yield member.name, np.asarray(im.convert("L"))


def score(nets, held, log):
    """Scores every network on pictures that nothing is learnt from: gains in dB over the kernel, as it is and by the best factor."""
    gains = {}
    for name, im in pictures(held):
        for s in sorted({n.scale for n in nets.values()}):
            h, w = im.shape[0] // (2 * s) * 2 * s, im.shape[1] // (2 * s) * 2 * s
            truth = tensor(im[:h, :w]).view(1, 1, h, w) / 255
            if min(h, w) // s < 60:
                continue
            kernel = Kernel(s)
            for kind in ("area", "bicubic", "lanczos", "soft", "jpeg95", "jpeg85"):
                t = truth
                if kind == "soft":
                    t = each(F.pad(t, (12,) * 4, mode="reflect"), tensor([gaussian(0.6 * s, 12)]))
                off = (6 * s - s) // 2
                lin = kind not in ("bicubic", "lanczos")
                x = srgb_decode(t) if lin else t
                small = each(F.pad(x, (off,) * 4, mode="reflect"), tensor([reducing({"bicubic": "bicubic", "lanczos": "lanczos"}.get(kind, "area"), s, 1)]), s)
                small = ((srgb_encode(small) if lin else small).clamp(0, 1) * 255).round() / 255
                if kind.startswith("jpeg"):
                    small = jpeg(small, tensor([float(kind[4:])]))
                base = kernel(small)
                m = 8 * s
                err = (t - base)[..., m:-m, m:-m]
                mse = (err**2).mean().item()
                for key, net in nets.items():
                    if net.scale != s:
                        continue
                    with torch.no_grad(), torch.autocast("cuda", dtype=torch.float16, enabled=False):
                        r = residual(net, F.pad(small, (net.halo,) * 4, mode="replicate"))[..., m:-m, m:-m]
                    got = ((err - r) ** 2).mean().item()
                    f = min(max(((err * r).mean() / (r**2).mean().clamp(min=1e-12)).item(), 0), 1)
                    best = ((err - f * r) ** 2).mean().item()
                    gains.setdefault(key, []).append((name, kind, -10 * math.log10(mse + 1e-9), 10 * math.log10((mse + 1e-9) / (got + 1e-9)),
                                                      10 * math.log10((mse + 1e-9) / (best + 1e-9)), f))
    for key, rows in gains.items():
        under = [r for r in rows if r[2] < 40]
        g, b = np.array([r[3] for r in under]), np.array([r[4] for r in under])
        print(f"{key}: {len(under)} cases under 40 dB: mean {g.mean():+.3f} dB, worst {g.min():+.2f}; by the best factor {b.mean():+.3f}, worst {b.min():+.2f}", file=log)
        for kind in ("area", "bicubic", "lanczos", "soft", "jpeg95", "jpeg85"):
            k = np.array([r[3] for r in under if r[1] == kind])
            kb = np.array([r[4] for r in under if r[1] == kind])
            if len(k):
                print(f"    {kind}: {len(k)}, mean {k.mean():+.3f}, worst {k.min():+.2f}, best factor {kb.mean():+.3f}", file=log)
    return gains


def main(crops, held, out, seconds, mix, *specs):
    log = open(f"{out}/log.txt", "w", buffering=1)
    print(" ".join(sys.argv[1:]), torch.__version__, torch.cuda.get_device_name(), file=log)
    data = Crops(crops)
    print(len(data.all), "crops", file=log)
    nets, optimisers, kernels = {}, {}, {}
    for spec in specs:
        name, rest = spec.split("=")
        rest, _, known = rest.partition(":")
        scale, channels, layers, tie, bias = map(int, rest.split(","))
        nets[name] = Net(scale, channels, layers, tie, bias).to(DEV).to(memory_format=torch.channels_last)
        if known:
            begin(nets[name], known)
        optimisers[name] = torch.optim.Adam(nets[name].parameters(), lr=2e-3, betas=(0.9, 0.99))
        kernels[scale] = Kernel(scale)
        print(name, scale, channels, layers, "tied" if tie else "free", "bias" if bias else "no bias", sum(p.numel() for p in nets[name].parameters()), "parameters", file=log)
    start, step, seconds = time.time(), 0, float(seconds)
    losses = {k: 0.0 for k in nets}
    averages = {k: [p.detach().clone() for p in n.parameters()] for k, n in nets.items()}
    while time.time() - start < seconds:
        done = (time.time() - start) / seconds
        rate = 2e-3 * min(1, (step + 1) / 300) * (0.5 * (1 + math.cos(math.pi * done)) + 0.004)
        for s, kernel in kernels.items():
            with torch.no_grad():
                side = 84 * s if s == 2 else 72 * s
                n = 96 if s == 2 else 64
                truth, small, noisy, source = reduce_batch(data.batch(n, side), s, mix)
                base = kernel(source)
                err = truth + kernel(noisy) - kernel(small) - base
            for key, net in nets.items():
                if net.scale != s:
                    continue
                m = net.halo * s
                want = err[..., m:-m, m:-m]
                with torch.autocast("cuda", dtype=torch.bfloat16):
                    got = residual(net, source.contiguous(memory_format=torch.channels_last))
                mse = ((want - got) ** 2).mean((1, 2, 3))
                was = (want**2).mean((1, 2, 3))
                loss = (mse / (was + 4e-6)).mean()
                opt = optimisers[key]
                for group in opt.param_groups:
                    group["lr"] = rate
                opt.zero_grad(set_to_none=True)
                loss.backward()
                torch.nn.utils.clip_grad_norm_(net.parameters(), 1.0)
                opt.step()
                decay = min(0.999, step / (step + 10))
                with torch.no_grad():
                    torch._foreach_lerp_(averages[key], list(net.parameters()), 1 - decay)
                losses[key] += loss.detach()
        step += 1
        if step % 500 == 0:
            print(f"{step} {time.time() - start:.0f} s", " ".join(f"{k} {float(v) / 500:.4f}" for k, v in losses.items()), file=log)
            losses = {k: 0.0 for k in nets}
    for key, net in nets.items():
        with torch.no_grad():
            for p, a in zip(net.parameters(), averages[key]):
                p.copy_(a)
        arrays = {"scale": net.scale}
        for i, conv in enumerate(net.convs):
            arrays[f"w{i}"] = conv.weight().detach().float().cpu().numpy()
            if conv.bias is not None:
                arrays[f"b{i}"] = conv.bias.repeat_interleave(conv.per).detach().float().cpu().numpy()
        np.savez(f"{out}/{key}.npz", **arrays)
    print(step, "steps", file=log)
    gains = score(nets, held, log)
    with open(f"{out}/scores.tsv", "w") as f:
        for key, rows in gains.items():
            for r in rows:
                print(key, *r, sep="\t", file=f)
    log.close()
    print(open(f"{out}/log.txt").read())


if __name__ == "__main__":
    main(*sys.argv[1:])
