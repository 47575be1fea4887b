"""Areas of a crowded drawing by shapely, from the same numbers that make the SVG.

Run: python3 areas.py ; needs shapely 2.1 (GEOS). Writes ../expected/crowded.svg and areas.csv.
Curves are 256 segments a quarter here, so that the oracle's own chords do not matter.
"""

import math
import pathlib
import shapely
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box
from shapely.ops import unary_union

OUT = pathlib.Path(__file__).parent.parent / "expected"
QUARTER = 256

svg, areas = [], []


def add(name, text, shape):
    svg.append(text)
    areas.append((name, shape))


# A grid of overlapping discs and squares, turned about their middles.
shapes = []
text = []
for i in range(12):
    for j in range(9):
        x, y, r = 8 + 7 * i, 8 + 7 * j, 3 + (i * 5 + j * 3) % 4 * 0.5
        if (i + j) % 2:
            shapes.append(Point(x, y).buffer(r, QUARTER))
            text.append(f'<circle cx="{x}" cy="{y}" r="{r}"/>')
        else:
            angle = 11 * i + 7 * j
            shapes.append(affinity.rotate(box(x - r, y - r, x + r, y + r), angle, origin=(x, y)))
            text.append(f'<rect x="{x - r}" y="{y - r}" width="{2 * r}" height="{2 * r}" transform="rotate({angle} {x} {y})"/>')
add("tiles", f'<g id="tiles" fill="#202020">{"".join(text)}</g>', unary_union(shapes))

# A thick crooked line with round caps and joins.
line = [(5, 75), (30, 66), (45, 77), (70, 62), (95, 74)]
points = " ".join(f"{x},{y}" for x, y in line)
add("vine", f'<polyline id="vine" points="{points}" fill="none" stroke="#a04000" stroke-width="2.5" '
    'stroke-linecap="round" stroke-linejoin="round"/>', LineString(line).buffer(1.25, QUARTER))

# A star of seven points through even-odd, sheared and clipped by a disc.
star = [(50 + 30 * math.sin(6 * math.pi * k / 7), 40 - 30 * math.cos(6 * math.pi * k / 7)) for k in range(7)]
rings = shapely.polygonize([shapely.node(LineString(star + star[:1]))]).geoms


def winding(p):
    total = 0.0
    for (ax, ay), (bx, by) in zip(star, star[1:] + star[:1]):
        total += math.atan2((ax - p.x) * (by - p.y) - (ay - p.y) * (bx - p.x), (ax - p.x) * (bx - p.x) + (ay - p.y) * (by - p.y))
    return round(total / (2 * math.pi))


odd = unary_union([ring for ring in rings if winding(ring.representative_point()) % 2])
sheared = affinity.affine_transform(odd, [1, 0.3, 0, 1, -12, 0])
clip = Point(48, 42).buffer(26, QUARTER)
points = " ".join(f"{x:.9f},{y:.9f}" for x, y in star)
add("star", '<clipPath id="disc"><circle cx="48" cy="42" r="26"/></clipPath>'
    f'<g clip-path="url(#disc)"><g transform="matrix(1 0 0.3 1 -12 0)"><polygon id="star" fill-rule="evenodd" '
    f'fill="#0050a0" points="{points}"/></g></g>', sheared.intersection(clip))

areas.append(("all", unary_union([shape for _, shape in areas])))

OUT.mkdir(exist_ok=True)
(OUT / "crowded.svg").write_text(
    '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">\n'
    "<title>Overlaps, strokes, even-odd, shear and a clip in one drawing</title>\n" + "\n".join(svg) + "\n</svg>\n")
(OUT / "areas.csv").write_text(
    f"# shapely {shapely.__version__}, GEOS {shapely.geos_version_string}; areas.py\nid,area_mm2\n"
    + "".join(f"{name},{shape.area:.6f}\n" for name, shape in areas))
