"""Nested layouts, looked at by another library.

Run from the root: python3 tests/oracles/nest.py FOLDER [--seconds S] [--workers N] [--layouts DIR] [NAME...]
(needs tests/oracles/requirements.txt). FOLDER holds strip-packing instances of the ESICUP collection as NAME.json
and best-published.csv. Packs each of them with the example `nest_instances`, or takes the layouts that it wrote
before with --layouts; then, by shapely (GEOS), for each layout:

1. every copy that the instance asks for is there, congruent with its outline, at an angle that is allowed;
2. no two share any area, and all lie within the strip;
3. the length and the density are what the outlines say.

Prints the density beside the best published one, and the median of what it falls short.
"""

import argparse
import csv
import json
import statistics
import subprocess
import sys
import tempfile
from collections import Counter
from pathlib import Path

from shapely import STRtree
from shapely.affinity import rotate, translate
from shapely.geometry import Polygon

ROOT = Path(__file__).resolve().parents[2]
# Of the strip's height: layouts are computed in double precision from single-precision places.
NEAR = 1e-6
failed = []


def check(name, what, holds):
    if not holds:
        failed.append(f"{name}: {what}")


def pack(folder, out, seconds, workers, names):
    run = ["cargo", "run", "--release", "-q", "-p", "stencil", "--example", "nest_instances", "--"]
    subprocess.run([*run, str(folder), str(out), str(seconds), str(workers), *names], cwd=ROOT, check=True)


def look(name, folder, layouts):
    """The length, the density and the largest area shared."""
    instance = json.loads((folder / f"{name}.json").read_text())
    layout = json.loads((layouts / f"{name}.json").read_text())
    height = instance["strip_height"]
    near = NEAR * height
    items = {str(item["id"]): item for item in instance["items"]}
    laid = [(piece["piece"], piece["turn"], Polygon(piece["outline"])) for piece in layout["laid"]]

    count = Counter(piece for piece, _, _ in laid)
    check(name, "copies", count == Counter({key: item["demand"] for key, item in items.items()}))
    for piece, turn, outline in laid:
        allowed = items[piece].get("allowed_orientations")
        if allowed is not None:
            off = min(abs((turn - angle + 180.0) % 360.0 - 180.0) for angle in allowed)
            check(name, f"angle {turn} of {piece}", off < 1e-4)
        drawn = rotate(Polygon(items[piece]["shape"]["data"]), turn, origin=(0, 0))
        shift = [outline.bounds[i] - drawn.bounds[i] for i in (0, 1)]
        apart = translate(drawn, *shift).hausdorff_distance(outline)
        check(name, f"outline of {piece}, {apart}", apart < 2 * near)

    outlines = [outline for _, _, outline in laid]
    tree = STRtree(outlines)
    shared = 0.0
    for a, first in enumerate(outlines):
        for b in tree.query(first):
            if a < b:
                shared = max(shared, first.intersection(outlines[b]).area)
    check(name, f"shared area {shared}", shared == 0.0)
    left, low, right, up = (f(outline.bounds[i] for outline in outlines) for i, f in enumerate((min, min, max, max)))
    check(name, "within the strip", min(left, low) > -near and up < height + near)
    check(name, "length", abs(right - layout["length"]) < near)
    return right, sum(outline.area for outline in outlines) / (right * height), shared


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("folder", type=Path)
    arguments.add_argument("--seconds", type=float, default=60.0)
    arguments.add_argument("--workers", type=int, default=2)
    arguments.add_argument("--layouts", type=Path)
    arguments.add_argument("names", nargs="*")
    given = arguments.parse_args()
    with open(given.folder / "best-published.csv", newline="") as rows:
        best = {row["instance"]: float(row["best_density_percent"]) for row in csv.DictReader(rows)}
    with tempfile.TemporaryDirectory() as scratch:
        layouts = given.layouts or Path(scratch)
        if given.layouts is None:
            pack(given.folder.resolve(), layouts, given.seconds, given.workers, given.names)
        names = [name for name in best if (layouts / f"{name}.json").exists()]
        print(f"{'instance':<10} {'length':>11} {'density %':>9} {'best %':>7} {'short %':>7} {'shared area':>11}")
        short = []
        for name in names:
            length, density, shared = look(name, given.folder, layouts)
            short.append(100.0 * (1.0 - 100.0 * density / best[name]))
            print(f"{name:<10} {length:>11.3f} {100 * density:>9.2f} {best[name]:>7.2f} {short[-1]:>7.2f} {shared:>11g}")
    print(f"{len(names)} layouts, median short of the best published: {statistics.median(short):.2f} %")
    for what in failed:
        print("FAILED", what)
    sys.exit(bool(failed))


if __name__ == "__main__":
    main()
