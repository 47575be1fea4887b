"""DXF: every entity type in every release, written by ezdxf and measured by us and by closed forms.

Run from the root: python3 tests/oracles/artwork_dxf.py (needs tests/oracles/requirements.txt)

1. One file per release and entity; area and perimeter against the closed form, or against shapely on
   ezdxf's own flattening where there is none.
2. What we write is opened by ezdxf, its auditor finds nothing, and ezdxf and shapely see the same area.
3. Colours by number against ezdxf's table.
"""

import json
import logging
import math
import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf
import numpy
from ezdxf import path as ezpath
from ezdxf.colors import aci2rgb
from scipy.interpolate import BSpline
from shapely.geometry import Polygon

logging.disable(logging.WARNING)
ROOT = Path(__file__).resolve().parents[2]
RUN = ["cargo", "run", "-q", "-p", "artwork", "--example", "artwork_oracle", "--"]
RELEASES = ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"]
TOLERANCE = 0.0002
PI = math.pi


def ours(paths):
    text = "\n".join(map(str, paths)) + "\n"
    done = subprocess.run(RUN + ["shapes", str(TOLERANCE)], input=text, capture_output=True, text=True, cwd=ROOT, check=True)
    return [json.loads(line) for line in done.stdout.splitlines()]


def flattened_area(entities):
    """Even-odd area of closed entities by ezdxf's flattening and shapely."""
    shape = Polygon()
    for entity in entities:
        points = [(p.x, p.y) for p in ezpath.make_path(entity).flattening(TOLERANCE / 10)]
        shape = shape.symmetric_difference(Polygon(points).buffer(0))
    return shape.area


# Each: (name, first release, function that draws and gives the area and the perimeter; None means: from ezdxf).
def lines(msp):
    points = [(0, 0), (40, 0), (40, 30), (0, 30)]
    for i, a in enumerate(points):
        msp.add_line(a, points[(i + 1) % 4])
    return 1200, 140


def circle(msp):
    msp.add_circle((5, 5), 17)
    return PI * 289, 2 * PI * 17


def mirrored_arc(msp):
    # An arc in a plane seen from below: its angles run the other way.
    msp.add_arc((0, 0), 10, 0, 180, dxfattribs={"extrusion": (0, 0, -1)})
    msp.add_line((-10, 0), (10, 0))
    return PI * 50, PI * 10 + 20


def arcs(msp):
    msp.add_arc((0, 0), 10, 350, 170)
    msp.add_arc((0, 0), 10, 170, 350)
    return PI * 100, 2 * PI * 10


def ellipse(msp):
    msp.add_ellipse((3, 4), (20, 10), 0.4)
    a = math.hypot(20, 10)
    return PI * a * a * 0.4, None


def half_ellipse(msp):
    msp.add_ellipse((0, 0), (20, 0), 0.5, 0, PI)
    msp.add_line((-20, 0), (20, 0))
    return PI * 20 * 10 / 2, None


def bulges(msp):
    # A stadium: 40 straight, ends of radius 10.
    msp.add_lwpolyline([(0, 0, 0), (40, 0, 1), (40, 20, 0), (0, 20, 1)], format="xyb", close=True)
    return 800 + PI * 100, 80 + 2 * PI * 10


def heavy_bulges(msp):
    msp.add_polyline2d([(0, 0, 0), (40, 0, -0.5), (40, 20, 0), (0, 20, 0)], format="xyb", close=True)
    # A circular segment cut in: bulge b, chord c: angle 4 atan b, radius c (1 + b²) / (4 b).
    angle, radius = 4 * math.atan(0.5), 20 * 1.25 / 2
    return 800 - radius**2 / 2 * (angle - math.sin(angle)), 100 + radius * angle


def polyline3d(msp):
    msp.add_polyline3d([(0, 0, 1), (30, 0, 2), (30, 40, 3)], close=True)
    return 600, 120


def rational_spline(msp):
    s = math.sqrt(0.5)
    corners = [(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)]
    spline = msp.add_rational_spline([(10 * x, 10 * y) for x, y in corners], [1, s] * 4 + [1], degree=2)
    spline.knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    return PI * 100, 2 * PI * 10


def open_spline(msp):
    spline = msp.add_open_spline([(0, 0), (10, 30), (25, 30), (30, 10), (40, 20), (50, 0)])
    msp.add_line((0, 0), (50, 0))
    points = [(p.x, p.y) for p in spline.flattening(TOLERANCE / 10)]
    return Polygon(points).area, Polygon(points).length


def closed_spline(msp):
    spline = msp.add_spline()
    spline.set_closed([(0, 0, 0), (20, -5, 0), (30, 20, 0), (10, 35, 0), (-10, 15, 0)], degree=3)
    # ezdxf flattens beyond the knots that define the curve, so scipy evaluates it.
    n, p = len(spline.control_points), 3
    curve = BSpline(numpy.array(spline.knots), numpy.array(spline.control_points)[:, :2], p)
    points = curve(numpy.linspace(spline.knots[p], spline.knots[n], 20000))
    return Polygon(points).area, Polygon(points).length


def fitted_spline(msp):
    # Given by the points that it passes through alone; ezdxf and we both take the natural cubic.
    points = [(0, 0), (10, 25), (30, 30), (45, 5)]
    msp.add_spline(points)
    msp.add_line((0, 0), (45, 5))
    from ezdxf.math import fit_points_to_cad_cv
    curve = fit_points_to_cad_cv(points)
    flat = [(p.x, p.y) for p in curve.flattening(TOLERANCE / 10)]
    return Polygon(flat).area, Polygon(flat).length


def quintic_spline(msp):
    spline = msp.add_open_spline([(0, 0), (5, 30), (15, -10), (25, 40), (35, 30), (40, 10), (50, 0)], degree=5)
    msp.add_line((0, 0), (50, 0))
    points = [(p.x, p.y) for p in spline.flattening(TOLERANCE / 10)]
    return Polygon(points).area, None


def hatch_polyline(msp):
    hatch = msp.add_hatch(color=1)
    hatch.paths.add_polyline_path([(0, 0), (40, 0), (40, 40), (0, 40)], is_closed=True)
    hatch.paths.add_polyline_path([(10, 10, 1), (30, 10, 1)], is_closed=True)
    return 1600 - PI * 100, None


def hatch_edges(msp):
    hatch = msp.add_hatch(color=2)
    edges = hatch.paths.add_edge_path()
    edges.add_line((0, 0), (20, 0))
    edges.add_arc((20, 10), 10, -90, 90, ccw=True)
    edges.add_line((20, 20), (0, 20))
    # ezdxf counts angles counter-clockwise always and writes them as the format wants for a clockwise edge:
    # a bay as large as the right end's half disc.
    edges.add_arc((0, 10), 10, 270, 90, ccw=False)
    points = [(p.x, p.y) for p in ezpath.from_hatch(hatch).__next__().flattening(TOLERANCE / 10)]
    return Polygon(points).area, None


def hatch_ellipse(msp):
    hatch = msp.add_hatch(color=3)
    edges = hatch.paths.add_edge_path()
    edges.add_ellipse((0, 0), (30, 0), 0.5, 0, 360)
    return PI * 30 * 15, None


def hatch_spline(msp):
    hatch = msp.add_hatch(color=4)
    edges = hatch.paths.add_edge_path()
    control = [(0, 0), (10, 30), (30, 30), (40, 0)]
    edges.add_spline(control_points=control, degree=3, knot_values=[0, 0, 0, 0, 1, 1, 1, 1])
    edges.add_line((40, 0), (0, 0))
    # Cubic Bézier against its chord: 3/20 (the shoelace of control points, weighted).
    b = [(0, 0), (10, 30), (30, 30), (40, 0)]
    n = 20000
    pts = []
    for i in range(n + 1):
        t = i / n
        c = [(1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t * t * (1 - t), t**3]
        pts.append((sum(k * p[0] for k, p in zip(c, b)), sum(k * p[1] for k, p in zip(c, b))))
    return Polygon(pts).area, None


def solid(msp):
    msp.add_solid([(0, 0), (30, 0), (0, 20), (30, 20)])
    return 600, 100


def inserts(msp):
    doc = msp.doc
    inner = doc.blocks.new("INNER", base_point=(1, 1))
    inner.add_circle((1, 1), 2)
    inner.add_line((0, 0), (0, 0))
    outer = doc.blocks.new("OUTER")
    outer.add_blockref("INNER", (0, 0), dxfattribs={"xscale": 2, "yscale": 3, "rotation": 30})
    outer.add_lwpolyline([(10, 0), (14, 0), (12, 3)], close=True) if doc.dxfversion > "AC1009" else outer.add_polyline2d(
        [(10, 0), (14, 0), (12, 3)], close=True)
    ref = msp.add_blockref("OUTER", (100, 50), dxfattribs={"rotation": 45, "xscale": -1, "yscale": 1})
    ref.grid(size=(2, 3), spacing=(40, 40))
    return 6 * (PI * 4 * 6 + 6), None


def closed_gap(msp):
    points = [(0, 0), (40, 0), (40, 30), (0, 30)]
    for i, (x, y) in enumerate(points):
        nx, ny = points[(i + 1) % 4]
        msp.add_line((x, y), (nx + 0.02, ny))
    return 1200, None


CASES = [
    (lines, "R12"), (circle, "R12"), (arcs, "R12"), (mirrored_arc, "R12"), (heavy_bulges, "R12"), (polyline3d, "R12"),
    (solid, "R12"), (inserts, "R12"), (closed_gap, "R12"),
    (ellipse, "R2000"), (half_ellipse, "R2000"), (bulges, "R2000"), (rational_spline, "R2000"), (open_spline, "R2000"),
    (closed_spline, "R2000"), (fitted_spline, "R2000"), (quintic_spline, "R2000"), (hatch_polyline, "R2000"), (hatch_edges, "R2000"),
    (hatch_ellipse, "R2000"), (hatch_spline, "R2000"),
]


def main():
    folder = Path(tempfile.mkdtemp())
    files = []
    for draw, first in CASES:
        for release in RELEASES[RELEASES.index(first):]:
            doc = ezdxf.new(release, units=4)
            doc.header["$INSUNITS"] = 4
            area, length = draw(doc.modelspace())
            path = folder / f"{draw.__name__}-{release}.dxf"
            doc.saveas(path)
            files.append((path, area, length))
    worst_area = worst_length = 0.0
    failed = []
    for (path, area, length), found in zip(files, ours([f[0] for f in files])):
        if "error" in found:
            failed.append(f"{path.name}: {found['error']}")
            continue
        a = sum(s["area_mm2"] for s in found["shapes"])
        off = abs(a / area - 1)
        worst_area = max(worst_area, off)
        # A gap closed at 0.02 mm moves corners by that much.
        if off > (2e-3 if path.name.startswith("closed_gap") else 2e-4):
            failed.append(f"{path.name}: area {a} is not {area}")
        if length:
            p = sum(s["perimeter_mm"] for s in found["shapes"])
            worst_length = max(worst_length, abs(p / length - 1))
            if abs(p / length - 1) > 1e-4:
                failed.append(f"{path.name}: perimeter {p} is not {length}")
    print(f"read: {len(files)} files, worst area {worst_area:.1e}, worst perimeter {worst_length:.1e}")
    failed += written(folder, [f[0] for f in files if f[0].name.endswith("R2018.dxf")])
    failed += colours(folder)
    print("\n".join(failed) or "all hold")
    return 1 if failed else 0


def written(folder, paths):
    failed, worst = [], 0.0
    for path, found in zip(paths, ours(paths)):
        if "error" in found:
            continue
        out = folder / f"ours-{path.name}"
        subprocess.run(RUN + ["rewrite", str(path), str(out)], cwd=ROOT, check=True)
        doc = ezdxf.readfile(out)
        audit = doc.audit()
        if audit.has_errors or audit.fixes:
            failed.append(f"{out.name}: {[e.message for e in audit.errors + audit.fixes]}")
        rings = [e for e in doc.modelspace() if e.dxftype() == "POLYLINE"]
        if not all(e.is_closed for e in rings):
            failed.append(f"{out.name}: an open polyline")
        theirs = flattened_area(rings)
        again = ours([out])[0]
        a = sum(s["area_mm2"] for s in again["shapes"])
        worst = max(worst, abs(a / theirs - 1))
        if abs(a / theirs - 1) > 1e-6:
            failed.append(f"{out.name}: {a} is not {theirs}")
    print(f"written: {len(paths)} files, ezdxf's auditor clean, worst area against shapely {worst:.1e}")
    return failed


def colours(folder):
    doc = ezdxf.new("R2000", units=4)
    for index in range(1, 250):
        doc.modelspace().add_circle((3 * index, 0), 1, dxfattribs={"color": index, "layer": f"c{index}"})
    path = folder / "colours.dxf"
    doc.saveas(path)
    failed = []
    for shape in ours([path])[0]["shapes"]:
        index = int(shape["id"][1:])
        want = "#%02x%02x%02x" % tuple(aci2rgb(index))
        # ezdxf's table is uneven by up to 63 in the darkest shades.
        off = 2 if index % 10 < 7 else 64
        near = all(abs(int(want[i:i + 2], 16) - int(shape["paint"][i:i + 2], 16)) <= off for i in (1, 3, 5))
        if index != 7 and not near:
            failed.append(f"colour {index}: {shape['paint']} is not {want}")
    print(f"colours: 249 looked up, {len(failed)} differ")
    return failed


if __name__ == "__main__":
    sys.exit(main())
