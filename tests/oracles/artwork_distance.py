"""The distance transform: exactly SciPy's, and its speed against edt, OpenCV and SciPy; regions combined against GEOS
and Clipper2. Offsets: artwork_offset.py.

Run from the root, on a machine with nothing else to do: python3 tests/oracles/artwork_distance.py (needs
tests/oracles/requirements-speed.txt)
"""

import json
import math
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import cv2
import edt
import numpy as np
import pyclipr
import shapely
from scipy import ndimage
from shapely.geometry import MultiPolygon, Polygon

ROOT = Path(__file__).resolve().parents[2]
BUILD = ["cargo", "build", "-q", "--release", "-p", "artwork", "--example", "artwork_oracle", "--message-format=json"]


def binary():
    done = subprocess.run(BUILD, capture_output=True, text=True, cwd=ROOT, check=True)
    built = [json.loads(line) for line in done.stdout.splitlines()]
    return next(m["executable"] for m in built if m.get("executable") and m["target"]["name"] == "artwork_oracle")


def ours(run, mask):
    height, width = mask.shape
    done = subprocess.run([run, "distance", str(width), str(height)], input=mask.astype(np.uint8).tobytes(),
                          capture_output=True, check=True)
    return np.frombuffer(done.stdout, np.float32).reshape(mask.shape), float(done.stderr)


def best(work, times=3):
    took = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        took.append((time.perf_counter() - start) * 1e3)
    return min(took)


def masks(rng):
    yield "sparse", rng.random((700, 900)) < 0.999
    yield "noise", rng.random((500, 1300)) < 0.5
    yield "one", np.pad(np.zeros((1, 1), bool), ((300, 400), (200, 700)), constant_values=True)
    y, x = np.mgrid[0:4096, 0:4096]
    yield "rings", (np.hypot(x % 512 - 256, y % 512 - 256) % 90 < 45) | ((x * 7 + y * 3) % 1021 < 300)


def main():
    run, failed = binary(), []
    for name, mask in masks(np.random.default_rng(3)):
        found, took = ours(run, mask)
        # SciPy finds the nearest cell; its squared distance is a whole number. Ours went through a square
        # root in 32 bits, so it is rounded back to the whole number it was.
        nearest = ndimage.distance_transform_edt(mask, return_distances=False, return_indices=True)
        own = np.indices(mask.shape)
        want = ((nearest - own) ** 2).sum(axis=0)
        off = np.count_nonzero(np.rint(found).astype(np.int64) != want)
        print(f"{name}: {mask.size} cells, {off} differ from SciPy")
        if off:
            failed.append(name)
    eight = mask.astype(np.uint8)
    times = {"edt, 1 thread": best(lambda: edt.edtsq(mask)), "edt, 2 threads": best(lambda: edt.edtsq(mask, parallel=2)),
             "OpenCV exact": best(lambda: cv2.distanceTransform(eight, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)),
             "SciPy": best(lambda: ndimage.distance_transform_edt(mask), 1)}
    print(f"16 Mpx: ours {took:.0f} ms; " + "; ".join(f"{k} {v:.0f} ms, {v / took:.1f} times" for k, v in times.items()))
    regions(run)
    return 1 if failed else 0


def stars(seed):
    rings = []
    for i in range(200):
        x, y = i % 20 * 18 + seed, i // 20 * 18 + seed
        angles = [k / 250 * 2 * math.pi for k in range(250)]
        r = [9 + 2 * math.sin(a * 7 + seed) + 0.4 * math.cos(a * 61) for a in angles]
        rings.append([(x + k * math.cos(a), y + k * math.sin(a)) for k, a in zip(r, angles)])
    return rings


def regions(run):
    """100,000 points in two regions."""
    a, b = stars(0.0), stars(4.0)
    with tempfile.TemporaryDirectory() as folder:
        paths = [Path(folder) / "a.json", Path(folder) / "b.json"]
        for path, rings in zip(paths, (a, b)):
            path.write_text(json.dumps(rings))
        found = json.loads(subprocess.run([run, "time", *map(str, paths)], capture_output=True, text=True, check=True).stdout)
    # Overlapping stars are first made one region, as ours are.
    a, b = (shapely.union_all([Polygon(ring).buffer(0) for ring in rings]) for rings in (a, b))
    assert isinstance(a, (Polygon, MultiPolygon))
    theirs = {"union_ms": best(lambda: a.union(b)), "difference_ms": best(lambda: a.difference(b))}
    clipper = clipper_times(rings_of(a), rings_of(b))
    for key, geos in theirs.items():
        own, other = found[key], clipper[key]
        print(f"{found['points']} points, {key[:-3]}: ours {own:.0f} ms; GEOS {geos:.0f} ms, {geos / own:.1f} times; "
              f"Clipper2 {other:.0f} ms, {other / own:.1f} times")


def rings_of(region):
    polygons = region.geoms if isinstance(region, MultiPolygon) else [region]
    return [np.array(ring.coords)[:-1] for p in polygons for ring in (p.exterior, *p.interiors)]


def clipper_times(a, b):
    """The same work by Clipper2, handing the points over not counted."""
    def boolean(kind):
        clipper = pyclipr.Clipper()
        clipper.scaleFactor = 2**20
        clipper.addPaths(a, pyclipr.Subject)
        clipper.addPaths(b, pyclipr.Clip)
        return best(lambda: clipper.execute(kind, pyclipr.FillRule.NonZero))

    return {"union_ms": boolean(pyclipr.Union), "difference_ms": boolean(pyclipr.Difference)}


if __name__ == "__main__":
    sys.exit(main())
