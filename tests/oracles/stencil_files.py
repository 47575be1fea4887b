"""One layer in every form, opened by other libraries.

Run from the root: python3 tests/oracles/stencil_files.py (needs tests/oracles/requirements.txt, poppler, libtiff-tools)

1. DXF: ezdxf's auditor finds nothing; closed polylines without bulges; shapely sees the layer's area.
2. Plotter vectors: lines followed by a few lines of Python; shapely sees the layer's area, and no line further than
   0.01 mm from the DXF's, nor the other way round.
3. Film PDF: the scale bar as poppler renders it at 1200 dpi is 100 mm long, within one dot.
4. TIFF: libtiff's own tools read it without a word of complaint and unpack it; Pillow sees size, resolution, black
   area; at 1200 dpi the same dots as poppler makes of the PDF, but for those that an edge crosses.
5. Halftone TIFF at 2880 dpi: the tone of a patch.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf
import numpy
from PIL import Image
from shapely import hausdorff_distance
from shapely.geometry import MultiLineString, Polygon

Image.MAX_IMAGE_PIXELS = None
ROOT = Path(__file__).resolve().parents[2]
failed = []


def check(what, holds):
    if not holds:
        failed.append(what)


def even_odd(rings):
    shape = Polygon()
    for ring in rings:
        shape = shape.symmetric_difference(Polygon(ring))
    return shape.area


def dxf(path, area):
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    check(f"DXF auditor: {[e.message for e in audit.errors + audit.fixes]}", not (audit.has_errors or audit.fixes))
    lines = doc.modelspace().query("POLYLINE")
    rings = [e for e in lines if e.dxf.layer == "OPENINGS"]
    check("DXF: open or bulged opening", all(e.is_closed and not e.has_arc for e in rings))
    check("DXF: a layer is empty", {e.dxf.layer for e in lines} == {"OPENINGS", "MARKS", "WEED_BOX"})
    points = [[(v.dxf.location.x, v.dxf.location.y) for v in e.vertices] for e in rings]
    found = even_odd(points)
    print(f"DXF {doc.dxfversion}: auditor clean, {len(lines)} polylines, area off by {abs(found / area - 1):.1e}")
    check(f"DXF area {found} is not {area}", abs(found / area - 1) < 1e-5)
    return points


def libtiff(path):
    told = subprocess.run(["tiffinfo", path], capture_output=True, text=True)
    check(f"tiffinfo {path.name}: {told.stderr}", told.returncode == 0 and not told.stderr)
    wanted = ["CCITT Group 4", "Bits/Sample: 1", "min-is-white", "pixels/inch"]
    check(f"tiffinfo {path.name}: {told.stdout}", all(word in told.stdout for word in wanted))
    # Every strip unpacked by libtiff's own decoder.
    plain = path.with_suffix(".plain.tif")
    copied = subprocess.run(["tiffcp", "-c", "none", path, plain], capture_output=True, text=True)
    check(f"tiffcp {path.name}: {copied.stderr}", copied.returncode == 0 and not copied.stderr)
    same = numpy.array_equal(numpy.array(Image.open(path)), numpy.array(Image.open(plain)))
    check(f"{path.name}: unpacked it differs", same)
    print(f"libtiff's tools: {path.name} read and unpacked without complaint")


def scale_bar(drawn):
    """The longest run of black dots in any row below the weed box is the bar."""
    foot = drawn[int(101 / 25.4 * 1200) : int(107 / 25.4 * 1200)] >= 128
    edges = numpy.diff(foot.astype(numpy.int8), axis=1, prepend=0, append=0)
    longest = max(
        int(max((e - s for s, e in zip(numpy.flatnonzero(row == 1), numpy.flatnonzero(row == -1))), default=0))
        for row in edges
    )
    want = 100 / 25.4 * 1200
    print(f"scale bar: {longest} dots at 1200 dpi, {want:.1f} are 100 mm")
    check(f"scale bar of {longest} dots", abs(longest - want) <= 1)


def rings_of(path):
    rings, at, down = [], None, []
    for word in path.read_text().replace("\n", "").split(";"):
        numbers = [float(n) / 40 for n in word[2:].split(",")] if word[:2] in ("PU", "PD") and len(word) > 2 else []
        points = list(zip(numbers[::2], numbers[1::2]))
        if word.startswith("PU"):
            rings.append(down)
            down = []
        elif word.startswith("PD"):
            down = down or [at]
            down += points
        at = points[-1] if points else at
    closed = [r for r in rings if len(r) > 3 and r[0] == r[-1]]
    # The weed box is the largest ring; it is no opening.
    closed.remove(max(closed, key=lambda r: Polygon(r).area))
    return closed


def plotter(path, drawn, area):
    closed = rings_of(path)
    found = even_odd(closed)
    lines = [MultiLineString(rings) for rings in (closed, [r + r[:1] for r in drawn])]
    # Between two corners a straight line leaves another the most at its ends; the places in between are for shapely.
    off = hausdorff_distance(*lines, densify=0.01)
    print(f"plotter: {len(closed)} closed lines, area off by {abs(found / area - 1):.1e}, lines by {off:.4f} mm")
    check(f"plotter area {found} is not {area}", abs(found / area - 1) < 2e-4)
    check(f"plotter lines are off by {off} mm", off < 0.01)


def tiff(folder, black_area):
    film = Image.open(folder / "film.tif")
    check(f"TIFF says {film.info}", film.info["compression"] == "group4" and abs(film.info["dpi"][0] - 1200) < 0.01)
    black = ~numpy.array(film)
    found = black.sum() * (25.4 / 1200) ** 2
    print(f"TIFF: {film.size} dots, black area off by {abs(found / black_area - 1):.1e}")
    check(f"TIFF area {found} is not {black_area}", abs(found / black_area - 1) < 2e-3)
    subprocess.run(["pdftoppm", "-r", "1200", "-gray", "-singlefile", folder / "film.pdf", folder / "film"], check=True)
    drawn = 255 - numpy.array(Image.open(folder / "film.pgm")).astype(int)
    scale_bar(drawn)
    h, w = min(drawn.shape[0], black.shape[0]), min(drawn.shape[1], black.shape[1])
    # The tablet's foot is grey in one and bare in the other.
    h = min(h, int(108 / 25.4 * 1200))
    drawn, black = drawn[:h, :w], black[:h, :w]
    clear = (drawn == 0) | (drawn == 255)
    wrong = (clear & ((drawn == 255) != black)).sum()
    print(f"TIFF against poppler's PDF: {wrong} of {clear.sum()} unmixed dots differ, {1 - clear.mean():.2e} are mixed")
    check(f"{wrong} dots differ from the PDF", wrong <= 2e-5 * clear.sum())


def halftone(folder):
    film = Image.open(folder / "halftone.tif")
    dot = 25.4 / 2880
    box = [round(mm / dot) for mm in (61, 11, 99, 39)]
    found = 1 - numpy.array(film.crop(box)).mean()
    print(f"halftone: {found:.4f} black where 0.3 was asked")
    check(f"halftone {found}", abs(found - 0.3) < 0.003)


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        run = ["cargo", "run", "-q", "-p", "stencil", "--example", "files", "--", name]
        done = subprocess.run(run, capture_output=True, text=True, cwd=ROOT, check=True)
        area, black = map(float, done.stdout.split())
        drawn = dxf(folder / "layer.dxf", area)
        plotter(folder / "layer.plt", drawn, area)
        libtiff(folder / "film.tif")
        libtiff(folder / "halftone.tif")
        tiff(folder, black)
        halftone(folder)
    print("\n".join(failed) or "all hold")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())
