"""Areas of combined and offset regions against shapely/GEOS, over 1,000 random drawings.

Run from the root: python3 tests/oracles/artwork_areas.py (needs tests/oracles/requirements.txt)
"""

import json
import math
import random
import subprocess
import sys
from pathlib import Path

import shapely
from shapely.geometry import Polygon

ROOT = Path(__file__).resolve().parents[2]
RUN = ["cargo", "run", "-q", "-p", "artwork", "--example", "artwork_oracle", "--"]
DRAWINGS = 1000


def drawing(rng):
    """Rings that may cross themselves and each other."""
    rings = []
    for _ in range(rng.randint(1, 6)):
        kind = rng.random()
        x, y, r = rng.uniform(20, 80), rng.uniform(20, 80), rng.uniform(2, 30)
        if kind < 0.4:
            n = rng.randint(3, 60)
            points = [(x + r * rng.uniform(0.3, 1) * math.cos(2 * math.pi * i / n),
                       y + r * rng.uniform(0.3, 1) * math.sin(2 * math.pi * i / n)) for i in range(n)]
        elif kind < 0.7:
            points = [(rng.uniform(0, 100), rng.uniform(0, 100)) for _ in range(rng.randint(3, 12))]
        else:
            n = rng.randint(40, 400)
            points = [(x + r * math.cos(2 * math.pi * i / n), y + r * math.sin(2 * math.pi * i / n)) for i in range(n)]
        rings.append(points)
    return rings


def even_odd(rings):
    shape = Polygon()
    for ring in rings:
        # Nodes the ring, then keeps the faces that an odd number of turns enclose.
        lines = shapely.node(shapely.LinearRing(ring))
        faces = shapely.polygonize([lines]).geoms
        inside = [f for f in faces if odd(ring, f.representative_point())]
        shape = shape.symmetric_difference(shapely.union_all(inside))
    return shape


def odd(ring, p):
    count = 0
    for (ax, ay), (bx, by) in zip(ring, ring[1:] + ring[:1]):
        if (ay > p.y) != (by > p.y) and p.x < (bx - ax) * (p.y - ay) / (by - ay) + ax:
            count += 1
    return count % 2 == 1


def main():
    rng = random.Random(20)
    pairs = [(drawing(rng), drawing(rng)) for _ in range(DRAWINGS)]
    text = "".join(json.dumps({"a": a, "b": b}) + "\n" for a, b in pairs)
    done = subprocess.run(RUN + ["combine"], input=text, capture_output=True, text=True, cwd=ROOT, check=True)
    worst = {}
    failed = []
    for index, ((a, b), line) in enumerate(zip(pairs, done.stdout.splitlines())):
        ours = json.loads(line)
        a, b = even_odd(a), even_odd(b)
        theirs = {"a": a.area, "b": b.area, "union": a.union(b).area, "both": a.intersection(b).area,
                  "less": a.difference(b).area, "perimeter": a.length}
        size = max(a.area + b.area, 1.0)
        for key, want in theirs.items():
            scale = a.length if key == "perimeter" else size
            off = abs(ours[key] - want) / scale
            worst[key] = max(worst.get(key, 0), off)
            if off > 1e-6:
                failed.append(f"drawing {index}: {key} {ours[key]} is not {want}")
        # Chords of the round corners: GEOS gets 512 to a quarter; ours lie within 0.1 µm.
        for key, by in (("out", 0.5), ("in", -0.5)):
            want = a.buffer(by, quad_segs=512).area
            off = abs(ours[key] - want) / size
            worst[key] = max(worst.get(key, 0), off)
            if off > 2e-4:
                failed.append(f"drawing {index}: {key} {ours[key]} is not {want}")
    print(f"{DRAWINGS} drawings, worst share of the area:", {k: f"{v:.1e}" for k, v in worst.items()})
    print("\n".join(failed[:20]) or "all hold")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
