"""Imports an icon set of some thousand drawings: none may panic or hang, each area within 0.5 % of resvg's.

Run from the root: python3 tests/oracles/artwork_icons.py [TARBALL] (needs tests/oracles/requirements.txt)

500 of them, each over the next, are combined too, and the areas compared with those of shapely/GEOS.

Without a tarball the set is fetched with `npm pack` (openly licensed, Apache-2.0; version pinned below).
"""

import json
import random
import subprocess
import sys
import tarfile
import tempfile
from pathlib import Path

from shapely.geometry import Polygon

ROOT = Path(__file__).resolve().parents[2]
RUN = ["cargo", "run", "-q", "-p", "artwork", "--example", "artwork_oracle", "--"]
SET = "@mdi/svg@7.4.47"
LEAST = 3000
# Drawings that may be further off, each with its reason. None is known.
EXCEPTIONS = {}


def main():
    folder = Path(tempfile.mkdtemp())
    if len(sys.argv) > 1:
        tarball = Path(sys.argv[1])
    else:
        done = subprocess.run(["npm", "pack", "--silent", SET], cwd=folder, capture_output=True, text=True, check=True)
        tarball = folder / done.stdout.strip().splitlines()[-1]
    with tarfile.open(tarball) as tar:
        tar.extractall(folder, filter="data")
    paths = sorted(folder.rglob("*.svg"))
    assert len(paths) >= LEAST, len(paths)
    done = subprocess.run(RUN + ["painted"], input="\n".join(map(str, paths)), capture_output=True, text=True,
                          cwd=ROOT, timeout=1800)
    found = [json.loads(line) for line in done.stdout.splitlines()]
    failed = [] if done.returncode == 0 else [f"the reader stopped: {done.stderr[-500:]}"]
    if len(found) != len(paths):
        failed.append(f"{len(found)} answers to {len(paths)} files")
    worst, slowest = 0.0, 0.0
    for icon in found:
        name = Path(icon["path"]).stem
        slowest = max(slowest, icon["ms"])
        if "error" in icon:
            failed.append(f"{name}: {icon['error']}")
            continue
        off = abs(icon["ours_mm2"] / icon["painted_mm2"] - 1)
        worst = max(worst, off)
        if off > 0.005 and name not in EXCEPTIONS:
            failed.append(f"{name}: {icon['ours_mm2']:.4f} mm², resvg paints {icon['painted_mm2']:.4f}")
    failed += combined(random.Random(7).sample(paths, 501))
    print(f"{len(found)} icons, worst area {worst:.2%}, slowest {slowest:.1f} ms, {len(failed)} failed")
    print("\n".join(failed[:40]) or "all hold")
    return 1 if failed else 0


def oracle(command, text):
    done = subprocess.run(RUN + [command], input=text, capture_output=True, text=True, cwd=ROOT, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def combined(paths):
    """Each icon over the next, a little aside and larger: union, intersection, difference."""
    rings = oracle("rings", "\n".join(map(str, paths)) + "\n")
    moved = [[[(1.1 * x + 0.7, 1.1 * y - 0.4) for x, y in ring] for ring in icon] for icon in rings]
    pairs = list(zip(rings[:-1], moved[1:]))
    found = oracle("combine", "".join(json.dumps({"a": a, "b": b}) + "\n" for a, b in pairs))
    failed, worst = [], 0.0
    for path, (a, b), ours in zip(paths, pairs, found):
        a, b = shape(a), shape(b)
        theirs = {"a": a.area, "union": a.union(b).area, "both": a.intersection(b).area, "less": a.difference(b).area}
        for key, want in theirs.items():
            off = abs(ours[key] - want) / (a.area + b.area)
            worst = max(worst, off)
            if off > 1e-6:
                failed.append(f"{path.stem}: {key} {ours[key]} is not {want}")
    print(f"{len(pairs)} pairs of icons combined, worst share of the area against GEOS {worst:.1e}")
    return failed


def shape(rings):
    """Clean rings, outer ones and holes, even-odd."""
    whole = Polygon()
    for ring in rings:
        whole = whole.symmetric_difference(Polygon(ring).buffer(0))
    return whole


if __name__ == "__main__":
    sys.exit(main())
