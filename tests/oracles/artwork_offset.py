"""Regions of 100,000 points drawn out and in, beside GEOS and Clipper2 in one run: areas and times.

Run from the root: python3 tests/oracles/artwork_offset.py (needs tests/oracles/requirements-speed.txt). Each time is the
best of five, of the processor on one thread, so that what else the machine does is not counted; ours is timed by the
clock on all cores too.

Ours keeps within 0.005 of the distance everywhere, on the side asked for; Clipper2 is given the same for its arcs. GEOS
has 16 chords to a quarter, 0.0012 of the distance, and first drops corners within 0.01 of it.
"""

import json
import math
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pyclipr
import shapely
from shapely.geometry import MultiPolygon, Polygon

ROOT = Path(__file__).resolve().parents[2]
BUILD = ["cargo", "build", "-q", "--release", "-p", "artwork", "--example", "artwork_oracle", "--message-format=json"]
# Mm. A resist's undercut or line gain, half a narrowest wall, a border.
DISTANCES = [0.05, 0.25, 1.0]


def stars():
    """200 stars of 500 corners that join their neighbours: teeth sharper than the distance."""
    def star(i):
        x, y = i % 20 * 18, i // 20 * 18
        for k in range(500):
            a = 2 * math.pi * k / 500
            r = 9 + 2 * math.sin(a * 7) + 0.4 * math.cos(a * 61)
            yield x + r * math.cos(a), y + r * math.sin(a)

    return [list(star(i)) for i in range(200)]


def flowers():
    """2,500 flowers apart from one another, of round petals in chords of 5 µm sagitta, each with a hole."""
    def petals(x, y, size, n):
        for k in range(n):
            a = 2 * math.pi * k / n
            r = size * (1 + 0.25 * math.cos(5 * a))
            yield x + r * math.cos(a), y + r * math.sin(a)

    for i in range(2500):
        x, y = i % 50 * 7, i // 50 * 7
        yield list(petals(x, y, 2.4, 28))
        yield list(petals(x, y, 0.9, 12))[::-1]


def leaves():
    """Few large shapes of very many chords: what a traced scan is like."""
    for i in range(12):
        x, y = i % 4 * 90, i // 4 * 90
        n = 8400
        ring = []
        for k in range(n):
            a = 2 * math.pi * k / n
            r = 34 + 5 * math.sin(9 * a) + 0.6 * math.sin(83 * a + i) + 0.15 * math.sin(331 * a)
            ring.append((x + r * math.cos(a), y + r * math.sin(a)))
        yield ring


def best(work, times=5):
    took = []
    for _ in range(times):
        start = time.process_time()
        work()
        took.append((time.process_time() - start) * 1e3)
    return min(took)


def binary():
    done = subprocess.run(BUILD, capture_output=True, text=True, cwd=ROOT, check=True)
    built = [json.loads(line) for line in done.stdout.splitlines()]
    return next(m["executable"] for m in built if m.get("executable") and m["target"]["name"] == "artwork_oracle")


def ours(run, path, threads):
    asked = [run, "offsets", str(path), *map(str, DISTANCES)]
    done = subprocess.run(asked, capture_output=True, text=True, check=True,
                          env={**os.environ, "RAYON_NUM_THREADS": str(threads)})
    return json.loads(done.stdout)


def region_of(rings):
    """The clean region that ours worked on, for GEOS: outer rings and holes by their direction."""
    polygons = [Polygon(ring) for ring in rings]
    turns = [shapely.LinearRing(ring).is_ccw for ring in rings]
    solid = shapely.union_all([p for p, ccw in zip(polygons, turns) if ccw])
    return solid.difference(shapely.union_all([p for p, ccw in zip(polygons, turns) if not ccw]))


def clipper(rings, by, tolerance):
    """Time and area; handing the points over and back is not counted."""
    scale = 2**14
    offset = pyclipr.ClipperOffset()
    offset.scaleFactor = scale
    offset.arcTolerance = tolerance * scale
    offset.addPaths([np.array(ring) for ring in rings], pyclipr.JoinType.Round, pyclipr.EndType.Polygon)
    return best(lambda: offset.execute(by)), sum(map(signed, offset.execute(by)))


def signed(ring):
    x, y = ring[:, 0], ring[:, 1]
    return 0.5 * float(np.dot(x, np.roll(y, -1)) - np.dot(np.roll(x, -1), y))


def main():
    run, failed, ratios = binary(), [], []
    cores = os.cpu_count() or 1
    for name, rings in (("stars", stars()), ("flowers", flowers()), ("leaves", leaves())):
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / "rings.json"
            path.write_text(json.dumps(list(rings)))
            # Turn about, so that what else the machine does falls on all alike.
            one, every = ours(run, path, 1), ours(run, path, cores)
        clean = one["rings"]
        geos = region_of(clean)
        assert isinstance(geos, (Polygon, MultiPolygon))
        for single, threaded in zip(one["found"], every["found"]):
            by = single["by"]
            for key, way in (("out", 1), ("in", -1)):
                own, wide = single[f"{key}_cpu_ms"] or single[f"{key}_ms"], threaded[f"{key}_ms"]
                shape = geos.buffer(way * by, quad_segs=16)
                geos_ms = best(lambda: geos.buffer(way * by, quad_segs=16))
                clipper_ms, clipper_mm2 = clipper(clean, way * by, 0.005 * by)
                off = abs(single[f"{key}_mm2"] - shape.area) / max(geos.area, 1)
                ratios += [clipper_ms / own, geos_ms / own]
                print(f"{name}, {one['points']} points, {way * by:+} mm: ours {own:.0f} ms, by the clock on {cores} cores "
                      f"{wide:.0f}; Clipper2 {clipper_ms:.0f} ms, {clipper_ms / own:.2f} times; "
                      f"GEOS {geos_ms:.0f} ms, {geos_ms / own:.2f} times; "
                      f"area off by {off:.1e} of GEOS, Clipper2's by {abs(clipper_mm2 - shape.area) / geos.area:.1e}")
                # Two kinds of chords for round corners: each within half a percent of the distance.
                if off > 0.01 * by * geos.length / geos.area:
                    failed.append(f"{name} {way * by:+}: {single[f'{key}_mm2']} is not {shape.area}")
    print(f"the least that a peer takes of our time: {min(ratios):.2f}")
    print("\n".join(failed) or "all hold")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
