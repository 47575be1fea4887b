"""Drawing tools for the example artwork: smooth curves, tapered strokes, resist walls.

Everything is in millimetres, x to the right, y down. Curves are cubic Béziers;
the Boolean operations keep curves as curves. Needs numpy and skia-pathops.
"""

import math

import numpy as np
import pathops

SCALE = 64.0  # pathops works in units of 1/64 mm, so that its tolerances are small ones


# ---------------------------------------------------------------- curves


def hobby(points, closed=False, tension=1.0):
    """Cubic segments through the points, with J. D. Hobby's choice of directions.

    Hobby, 'Smooth, easy to compute interpolating splines', Discrete and
    Computational Geometry 1 (1986). Returns an array (n, 4, 2).
    """
    z = np.array([complex(*p) for p in points])
    n = len(z)
    if not closed and n == 2:
        a, b = z
        return to_xy(np.array([[a, a + (b - a) / 3, a + 2 * (b - a) / 3, b]]))
    chords = np.roll(z, -1) - z if closed else z[1:] - z[:-1]
    length, heading = np.abs(chords), np.angle(chords)
    theta = closed_turns(length, heading) if closed else open_turns(length, heading)
    segments = []
    for k in range(len(chords)):
        after = (k + 1) % n
        out = np.exp(1j * (heading[k] + theta[k]))
        phi = -(heading_at(heading, after, closed) + theta[after] - heading[k])
        if not closed and after == n - 1:
            phi = -theta[after]
        phi = (phi + math.pi) % (2 * math.pi) - math.pi
        into = np.exp(1j * (heading[k] - phi))
        rho, sigma = speeds(theta[k], phi)
        segments.append([
            z[k],
            z[k] + out * length[k] * rho / (3 * tension),
            z[after] - into * length[k] * sigma / (3 * tension),
            z[after],
        ])
    return to_xy(np.array(segments))


def heading_at(heading, k, closed):
    return heading[k % len(heading)] if closed else heading[min(k, len(heading) - 1)]


def speeds(theta, phi):
    """Hobby's velocity function for both ends of a segment."""
    st, sp, ct, cp = math.sin(theta), math.sin(phi), math.cos(theta), math.cos(phi)
    alpha = math.sqrt(2) * (st - sp / 16) * (sp - st / 16) * (ct - cp)
    half = (3 - math.sqrt(5)) / 2
    c = (math.sqrt(5) - 1) / 2
    rho = (2 + alpha) / (1 + c * ct + half * cp)
    sigma = (2 - alpha) / (1 + c * cp + half * ct)
    return rho, sigma


def turn(a, b):
    return (b - a + math.pi) % (2 * math.pi) - math.pi


def open_turns(length, heading):
    """Departure angles from each chord; the last entry is the arrival angle's negative."""
    n = len(length) + 1
    m, r = np.zeros((n, n)), np.zeros(n)
    m[0, 0], m[0, 1] = 1, 1
    r[0] = -turn(heading[0], heading[1])
    for k in range(1, n - 1):
        a, b = 1 / length[k - 1], 1 / length[k]
        m[k, k - 1], m[k, k], m[k, k + 1] = a, 2 * (a + b), b
        after = turn(heading[k], heading[k + 1]) if k + 1 < n - 1 else 0
        r[k] = -(2 * turn(heading[k - 1], heading[k]) * a + after * b)
    m[n - 1, n - 2], m[n - 1, n - 1] = 1, 1
    return np.linalg.solve(m, r)


def closed_turns(length, heading):
    n = len(length)
    m, r = np.zeros((n, n)), np.zeros(n)
    for k in range(n):
        a, b = 1 / length[k - 1], 1 / length[k]
        m[k, k - 1] += a
        m[k, k] += 2 * (a + b)
        m[k, (k + 1) % n] += b
        here, after = turn(heading[k - 1], heading[k]), turn(heading[k], heading[(k + 1) % n])
        r[k] = -(2 * here * a + after * b)
    return np.linalg.solve(m, r)


def to_xy(z):
    return np.stack([z.real, z.imag], axis=-1)


class Spine:
    """A smooth line through points, walked by the share 0..1 of its length."""

    def __init__(self, points):
        t = np.linspace(0, 1, 65)[:, None]
        pieces = [
            (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
            for a, b, c, d in hobby(points)
        ]
        self.xy = np.vstack([pieces[0], *[piece[1:] for piece in pieces[1:]]])
        step = np.hypot(*np.diff(self.xy, axis=0).T)
        self.s = np.concatenate([[0], np.cumsum(step)])
        self.length = self.s[-1]
        self.s = self.s / self.length

    def at(self, t):
        return np.array([np.interp(t, self.s, self.xy[:, 0]), np.interp(t, self.s, self.xy[:, 1])])

    def along(self, t, d=0.01):
        """Unit tangent."""
        v = self.at(min(t + d, 1)) - self.at(max(t - d, 0))
        return v / np.hypot(*v)

    def side(self, t, off):
        """The point `off` millimetres to the left of the direction of travel as seen on the page."""
        x, y = self.along(t)
        return self.at(t) + off * np.array([y, -x])


# ---------------------------------------------------------------- shapes


class Shape:
    """A filled area with curved outlines."""

    def __init__(self, path=None):
        self.path = path if path is not None else pathops.Path()

    @classmethod
    def of(cls, *outlines):
        """From closed outlines, each an array of cubic segments."""
        path = pathops.Path()
        pen = path.getPen()
        for outline in outlines:
            outline = np.asarray(outline) * SCALE
            pen.moveTo(tuple(outline[0][0]))
            for _, b, c, d in outline:
                pen.curveTo(tuple(b), tuple(c), tuple(d))
            pen.closePath()
        return cls(path)

    def boolean(self, other, kind):
        """A set operation; a rare failure of it is undone by a hair's turn of the other shape."""
        for nudge in range(8):
            turned = other.turned(0.004 * nudge, *other.bounds[:2]) if nudge else other
            try:
                return Shape(pathops.op(self.path, turned.path, kind))
            except pathops.PathOpsError:
                continue
        raise ValueError(f"cannot combine the shapes at {self.bounds} and {other.bounds}")

    def __or__(self, other):
        return self.boolean(other, pathops.PathOp.UNION)

    def __sub__(self, other):
        return self.boolean(other, pathops.PathOp.DIFFERENCE)

    def __and__(self, other):
        return self.boolean(other, pathops.PathOp.INTERSECTION)

    def grown(self, by):
        """Larger all round by `by` mm, with round corners; smaller when negative."""
        if by == 0 or self.empty:
            return self
        for nudge in range(8):
            # The stroker fails on rare coincidences; a hair's turn undoes them.
            turned = self.turned(0.02 * nudge, *self.bounds[:2]) if nudge else self
            try:
                grown = turned.rimmed(by * (1 + 0.002 * nudge))
            except (ValueError, pathops.PathOpsError):
                continue
            if turned.plausible(grown, by):
                return grown
        raise ValueError(f"cannot offset the shape at {self.bounds} by {by} mm")

    def plausible(self, grown, by):
        """Whether the area of an offset lies where Steiner's formula allows."""
        change = grown.area - self.area
        if by > 0:
            return 0 < change <= by * self.length * 1.05 + math.pi * by * by * 1.05 * max(1, self.count)
        return 0 <= -change <= -by * self.length * 1.05

    @property
    def length(self):
        """Length of all outlines, mm."""
        return sum(float(np.hypot(*(np.roll(r, -1, axis=0) - r).T).sum()) for r in self.polygon())

    @property
    def count(self):
        return sum(1 for _ in self.path.contours)

    def rimmed(self, by):
        rim = pathops.Path(self.path)
        rim.stroke(2 * abs(by) * SCALE, pathops.LineCap.ROUND_CAP, pathops.LineJoin.ROUND_JOIN, 4)
        rim.convertConicsToQuads(0.25)
        kind = pathops.PathOp.UNION if by > 0 else pathops.PathOp.DIFFERENCE
        return self.boolean(Shape(rim), kind)

    def opened(self, width):
        """Without the parts narrower than `width` mm."""
        core = self.grown(-width / 2)
        if core.empty:
            return core
        for share in (1, 0.9, 0.8):
            try:
                return core.grown(width / 2 * share)
            except ValueError:
                core = self.grown(-width / 2 * share)
        return self

    def moved(self, a=1, b=0, c=0, d=1, e=0, f=0):
        """Under the affine map of SVG's matrix(a b c d e f)."""
        return Shape(self.path.transform(a, b, c, d, e * SCALE, f * SCALE))

    def turned(self, degrees, x=0, y=0):
        """Turned clockwise about (x, y)."""
        c, s = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
        return self.moved(c, s, -s, c, x - c * x + s * y, y - s * x - c * y)

    def scaled(self, by, x=0, y=0):
        """Larger or smaller about (x, y)."""
        return self.moved(by, 0, 0, by, x - by * x, y - by * y)

    def mirrored(self, x):
        """Mirrored in the upright line at x."""
        return self.moved(-1, 0, 0, 1, 2 * x, 0)

    @property
    def empty(self):
        return not list(self.path.verbs)

    @property
    def bounds(self):
        return tuple(v / SCALE for v in self.path.bounds)

    def touches(self, other, gap=0.0):
        a, b = self.bounds, other.bounds
        return a[0] <= b[2] + gap and b[0] <= a[2] + gap and a[1] <= b[3] + gap and b[1] <= a[3] + gap

    @property
    def area(self):
        """Square millimetres."""
        return abs(self.path.area) / SCALE**2

    def polygon(self, steps=8):
        """Flattened outlines, a list of (n, 2) arrays in mm."""
        rings = []
        for verb, pts in self.path:
            pts = [np.array(p) / SCALE for p in pts]
            if verb == pathops.PathVerb.MOVE:
                rings.append([pts[0]])
            elif verb == pathops.PathVerb.LINE:
                rings[-1].append(pts[0])
            elif verb == pathops.PathVerb.CUBIC:
                rings[-1].extend(cubic_points(rings[-1][-1], *pts, steps))
            elif verb == pathops.PathVerb.QUAD:
                rings[-1].extend(quad_points(rings[-1][-1], *pts, steps))
        return [np.array(r) for r in rings if len(r) > 2]

    def d(self):
        """SVG path data."""
        return "".join(LETTERS[verb] + " ".join(number(p) for p in pts) for verb, pts in self.path)


LETTERS = {
    pathops.PathVerb.MOVE: "M", pathops.PathVerb.LINE: "L", pathops.PathVerb.QUAD: "Q",
    pathops.PathVerb.CUBIC: "C", pathops.PathVerb.CLOSE: "Z",
}


def without_scraps(shape, least):
    """Without the outlines that enclose less than `least` mm² (holes included)."""
    kept = pathops.Path()
    for contour in shape.path.contours:
        if abs(contour.area) >= least * SCALE**2:
            contour.draw(kept.getPen())
    return Shape(kept)


def cubic_points(a, b, c, d, steps):
    t = np.linspace(0, 1, steps + 1)[1:, None]
    return list((1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d)


def quad_points(a, b, c, steps):
    t = np.linspace(0, 1, steps + 1)[1:, None]
    return list((1 - t) ** 2 * a + 2 * (1 - t) * t * b + t**2 * c)


def number(point):
    return ",".join(f"{v / SCALE:.3f}".rstrip("0").rstrip(".").replace("-0.", "-.") for v in point)


# ---------------------------------------------------------------- makers


def blob(*points, tension=1.0):
    """A closed smooth area through the points."""
    return Shape.of(hobby(points, closed=True, tension=tension))


def outline(*runs):
    """A closed area from runs of points; each run is smooth, the joints are corners."""
    segments = [hobby(run) for run in runs]
    if np.hypot(*(segments[-1][-1][3] - segments[0][0][0])) > 1e-9:
        segments.append(hobby([segments[-1][-1][3], segments[0][0][0]]))
    return Shape.of(np.vstack(segments))


def disc(x, y, r, ry=None):
    """A circle or an upright ellipse."""
    ry, k = ry or r, 0.5522847498
    q = [(1, 0), (0, 1), (-1, 0), (0, -1)]
    segments = []
    for (ax, ay), (bx, by) in zip(q, q[1:] + q[:1]):
        pts = [(ax, ay), (ax + k * bx, ay + k * by), (bx + k * ax, by + k * ay), (bx, by)]
        segments.append([(x + r * u, y + ry * v) for u, v in pts])
    return Shape.of(segments)


def profile(*knots):
    """A smooth width from (share of length, width) knots, without overshoot (Fritsch-Carlson)."""
    x, y = np.array(knots, float).T
    h, slope = np.diff(x), np.diff(y) / np.diff(x)
    m = np.concatenate([[slope[0]], np.zeros(len(x) - 2), [slope[-1]]])
    for k in range(1, len(x) - 1):
        if slope[k - 1] * slope[k] > 0:
            w1, w2 = 2 * h[k] + h[k - 1], h[k] + 2 * h[k - 1]
            m[k] = (w1 + w2) / (w1 / slope[k - 1] + w2 / slope[k])

    def width(t):
        k = int(np.clip(np.searchsorted(x, t) - 1, 0, len(h) - 1))
        u = (t - x[k]) / h[k]
        return (
            (1 + 2 * u) * (1 - u) ** 2 * y[k] + u * (1 - u) ** 2 * h[k] * m[k]
            + u * u * (3 - 2 * u) * y[k + 1] + u * u * (u - 1) * h[k] * m[k + 1]
        )

    return width


def leaf(width, peak=0.4, sharp=1.0, tip=None):
    """Nothing at both ends, `width` at `peak`. `sharp` below 1 rounds the ends; `tip` the far one."""
    p = math.log(0.5) / math.log(peak)

    def at(t):
        s = math.sin(math.pi * min(max(t, 0.0), 1.0) ** p)
        power = sharp if t < peak or tip is None else tip
        return width * max(s, 0.0) ** power

    return at


FINEST = 0.5  # no stroke, and no tip of one, is drawn narrower than this, mm


def stroke(points, width, left=None, stations=None, ends="round"):
    """A line drawn with a changing width: `width(t)` across, or `width` on the right and `left` on the left.

    `ends` is 'round' or 'flat'. Tips that would run to nothing end round at `FINEST`.
    """
    spine = points if isinstance(points, Spine) else Spine(points)
    if not callable(width):
        constant = width
        width = lambda t: constant  # noqa: E731
    pixel = min(1.0 / spine.length, 0.5)
    half = (lambda t: width(t) / 2) if left is None else width
    other = half if left is None else left
    thin = [half(t) + other(t) < 1.6 * FINEST for t in (pixel, 1 - pixel)]  # blunt tips close themselves
    floor = lambda t: FINEST / 2 if thin[int(t > 0.5)] else 0.0  # noqa: E731
    right_of = lambda t: max(half(t), floor(t))  # noqa: E731
    left_of = lambda t: max(other(t), floor(t))  # noqa: E731
    count = stations or int(np.clip(spine.length / 7, 6, 26))
    s = np.linspace(0, 1, count + 1)
    t_of = lambda s: (1 - math.cos(math.pi * s)) / 2  # noqa: E731
    one = hermite(lambda s: spine.side(t_of(s), left_of(t_of(s))), s)
    two = hermite(lambda s: spine.side(t_of(1 - s), -right_of(t_of(1 - s))), s)
    runs = [one]
    runs.append(cap(one[-1], two[0], spine.along(1), ends))
    runs.append(two)
    runs.append(cap(two[-1], one[0], -spine.along(0), ends))
    return Shape.of(np.vstack([r for r in runs if len(r)]))


def hermite(curve, s, d=1e-3):
    """Cubic segments through curve(s), with its own tangents."""
    pts = [curve(v) for v in s]
    tan = [(curve(min(v + d, 1)) - curve(max(v - d, 0))) / (min(v + d, 1) - max(v - d, 0)) for v in s]
    out = []
    for k in range(len(s) - 1):
        h = (s[k + 1] - s[k]) / 3
        out.append([pts[k], pts[k] + h * tan[k], pts[k + 1] - h * tan[k + 1], pts[k + 1]])
    return np.array(out)


def cap(before, after, along, ends):
    """What joins the end of one side to the start of the other."""
    a, b = before[3], after[0]
    gap = np.hypot(*(b - a))
    if gap < 1e-6:
        return np.empty((0, 4, 2))
    if ends != "round":
        return np.array([[a, a + (b - a) / 3, a + 2 * (b - a) / 3, b]])
    r, k = gap / 2, 0.5522847498
    tip, across = (a + b) / 2 + along * r, (b - a) / gap
    return np.array([
        [a, a + along * r * k, tip - across * r * k, tip],
        [tip, tip + across * r * k, b + along * r * k, b],
    ])


# ---------------------------------------------------------------- oak


def oak_leaf(points, width, lobes=4, vein=0.5, stalk=True):
    """A lobed leaf along a spine from its foot to its tip; returns it with clear veins, and its silhouette."""
    spine = points if isinstance(points, Spine) else Spine(points)
    body = lambda t: 0.5 * width * math.sin(math.pi * (0.06 + 0.94 * t) ** 1.2) ** 0.7  # noqa: E731
    step = 0.84 / lobes
    tops = [0.10 + step * (k + 0.72) for k in range(lobes)]
    sides = []
    for side in (1, -1):
        run = [tuple(spine.side(0.05, side * 0.16 * body(0.2)))]
        for k, top in enumerate(tops):
            if k:
                dip = 0.10 + step * (k + 0.12)
                run.append(tuple(spine.side(dip, side * 0.56 * body(dip))))
            run.append(tuple(spine.side(top, side * body(top) * (0.86 if k == 0 else 1))))
        sides.append(run)
    whole = blob(tuple(spine.at(0)), *sides[0], tuple(spine.at(1)), *sides[1][::-1])
    start = 0.0 if stalk else 0.12
    lines = stroke([tuple(spine.at(t)) for t in np.linspace(start, 0.84, 4)],
                   profile((0, vein * 1.3), (1, vein * 0.8)), stations=8)
    for top in tops[:-1]:
        for side in (1, -1):
            foot, end = tuple(spine.at(top - 0.6 * step)), tuple(spine.side(top - 0.01, side * 0.66 * body(top)))
            mid = tuple(spine.side(top - 0.32 * step, side * 0.30 * body(top)))
            lines = lines | stroke([foot, mid, end], profile((0, vein), (1, vein * 0.75)), stations=6)
    return whole - lines, whole


def acorn(x, y, size, degrees, gap=0.45):
    """An acorn hanging from its stalk at (x, y), `size` long: the nut, the cup, and the silhouette."""
    s = size / 10
    nut = outline(
        [(x - 2.7 * s, y + 4.2 * s), (x - 2.6 * s, y + 6.6 * s), (x - 1.3 * s, y + 8.8 * s), (x, y + 10 * s)],
        [(x, y + 10 * s), (x + 1.3 * s, y + 8.8 * s), (x + 2.6 * s, y + 6.6 * s), (x + 2.7 * s, y + 4.2 * s)],
        [(x + 2.7 * s, y + 4.2 * s), (x, y + 4.7 * s), (x - 2.7 * s, y + 4.2 * s)],
    )
    cup = outline(
        [(x - 3.3 * s, y + 3.8 * s), (x - 3.0 * s, y + 2.0 * s), (x - 1.4 * s, y + 0.6 * s), (x, y + 0.3 * s),
         (x + 1.4 * s, y + 0.6 * s), (x + 3.0 * s, y + 2.0 * s), (x + 3.3 * s, y + 3.8 * s)],
        [(x + 3.3 * s, y + 3.8 * s), (x, y + 4.5 * s), (x - 3.3 * s, y + 3.8 * s)],
    )
    whole = (nut | cup).turned(degrees, x, y)
    shine = stroke([(x - 1.2 * s, y + 5.6 * s), (x - 1.15 * s, y + 6.8 * s), (x - 0.5 * s, y + 8.0 * s)],
                   leaf(1.1 * s, sharp=0.8), stations=6)
    nut = nut - cup.grown(gap) - shine
    ridges = Shape()
    for k in (-1, 0, 1):
        ridges = ridges | stroke([(x + 1.9 * k * s, y + 3.4 * s), (x + 1.5 * k * s, y + 2.2 * s), (x + 0.5 * k * s, y + 1.1 * s)],
                                 profile((0, gap), (1, gap * 0.8)), stations=5)
    return nut.turned(degrees, x, y), (cup - ridges).turned(degrees, x, y), whole


# ---------------------------------------------------------------- sheet


class Sheet:
    """A drawing built from the front to the back: what comes later lies behind.

    Each shape put down is cut back by a resist wall round everything in front of it.
    """

    def __init__(self, width, height, layers):
        self.width, self.height = width, height
        self.layers = {name: [] for name in layers}
        self.fills = layers
        self.front = []
        self.texts = {name: [] for name in layers}

    def put(self, layer, shape, gap=1.0, least=0.45, hide=None, name=None, scrap=2.0):
        """Lays a shape behind all earlier ones.

        `hide` is what it covers, if more than itself; slivers below `least` mm wide
        and scraps below `scrap` mm² that the cutting leaves are dropped.
        """
        seen = shape
        for other in self.front:
            if seen.empty:
                break
            if seen.touches(other, gap):
                seen = seen - other.grown(gap)
        if hide is not False:
            self.front.append(hide or shape)
        if seen is not shape and not seen.empty:
            seen = without_scraps(seen.opened(least) if least else seen, scrap)
        if not seen.empty:
            self.layers[layer].append((seen, name))
        return seen

    def mask(self, shape):
        """Keeps a place clear of what comes later, until it is lifted."""
        self.front.append(shape)
        return shape

    def lift(self, shape):
        """Takes a mask away again, with all that it hid of what was put behind it."""
        start = next(k for k, other in enumerate(self.front) if other is shape)
        behind = [o - shape if o.touches(shape) else o for o in self.front[start + 1 :]]
        self.front[start:] = behind

    def svg(self, title, description):
        rows = [
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width}mm" height="{self.height}mm" '
            f'viewBox="0 0 {self.width} {self.height}">',
            f"<title>{title}</title>",
            f"<desc>{description}</desc>",
        ]
        for name, fill in self.fills.items():
            rows.append(f'<g id="{name}" fill="{fill}" fill-rule="nonzero">')
            for shape, label in reversed(self.layers[name]):
                label = f' id="{label}"' if label else ""
                rows.append(f'<path{label} d="{shape.d()}"/>')
            rows.extend(self.texts[name])
            rows.append("</g>")
        rows.append("</svg>")
        return "\n".join(rows) + "\n"
