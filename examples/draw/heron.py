#!/usr/bin/env python3
"""Draws heron.svg: a heron among reeds under the moon, for a back-carved glass panel.

Usage: heron.py OUT.svg

Built from the front to the back, as a carver of glass thinks: what is nearest
is carved deepest and first, and everything behind it keeps a wall of resist
away from it. Millimetres throughout.
"""

import math
import sys

import numpy as np
from pen import Shape, Sheet, Spine, blob, disc, leaf, outline, profile, stroke

WIDTH, HEIGHT = 300, 460
LAYERS = {"deep": "#f4f8f6", "middle": "#9fb9bd", "shallow": "#5d7c86"}

WALL = 1.1  # resist between neighbouring feathers
EDGE = 1.4  # resist round the bird


def main():
    sheet = Sheet(WIDTH, HEIGHT, LAYERS)
    reeds_in_front(sheet)
    head(sheet)
    breast_plumes(sheet)
    neck(sheet)
    wing(sheet)
    body(sheet)
    legs(sheet)
    reeds_behind(sheet)
    dragonfly(sheet)
    water(sheet)
    moon(sheet)
    grasses(sheet)
    with open(sys.argv[1], "w", encoding="utf-8") as file:
        file.write(sheet.svg(
            "Heron among reeds",
            "Back-carved glass panel, seen from the front. Groups are depths: deep, middle, shallow. Millimetres.",
        ))


# ---------------------------------------------------------------- the bird


def head(sheet):
    eye = disc(117.6, 87.2, 2.9)
    pupil = disc(117.2, 87.2, 1.35)
    sheet.put("deep", pupil, least=0, hide=eye, name="eye")
    # crown: a dark band from the bill over the eye, running out into two plumes
    crown = outline(
        [(107.6, 82.6), (113, 79.0), (121, 76.6), (130, 77.6), (138.5, 82.2), (146, 88.6)],
        [(146, 88.6), (139, 89.2), (131, 87.4), (124, 83.6), (117, 82.2), (107.6, 82.6)],
    )
    upper = stroke([(139, 83.4), (156, 89.5), (177, 93.6), (199, 91.2)],
                   profile((0, 7), (0.15, 5.4), (0.6, 3.0), (1, 0.2)))
    lower = stroke([(138, 86), (153, 96.5), (170, 105), (190, 108.4)],
                   profile((0, 6), (0.2, 4.2), (0.6, 2.6), (1, 0.2)))
    sheet.put("deep", crown | upper, gap=1.0, name="crown")
    sheet.put("deep", lower, gap=1.0, name="plume")
    # bill: two mandibles parted by a fine wall
    top = outline(
        [(106.2, 83.8), (92, 86.8), (72, 92.4), (47.5, 101.4)],
        [(47.5, 101.4), (74, 96.4), (93, 93.6), (110.6, 92.6)],
        [(110.6, 92.6), (109.4, 88), (106.2, 83.8)],
    )
    under = outline(
        [(111.6, 94.0), (94, 95.4), (76, 97.9), (52.5, 102.4)],
        [(52.5, 102.4), (78, 101.4), (96, 101.2), (107.6, 101.8)],
        [(107.6, 101.8), (110.8, 98.6), (111.6, 94.0)],
    )
    sheet.put("deep", top, gap=1.0, name="bill_upper")
    sheet.put("middle", under, gap=1.0, name="bill_lower")
    # the bare skin before the eye
    lore = outline(
        [(109, 85.2), (113.2, 84.6)], [(113.2, 84.6), (113.6, 88.6), (114.6, 91.4)],
        [(114.6, 91.4), (112.4, 90.8)], [(112.4, 90.8), (111.2, 88.2), (109, 85.2)],
    )
    sheet.put("shallow", lore, gap=0.7, least=0.4)


NECK_FRONT = [(108.5, 101.5), (117, 105.5), (124.5, 113.5), (126.4, 126), (121.4, 141),
              (113.4, 157), (108.6, 174), (109.6, 191), (117, 207), (128, 222)]
NECK_BACK = [(140, 84), (147.6, 93.5), (151.6, 108), (149.6, 124), (143.6, 139), (137.4, 153),
             (134.6, 167), (137.6, 181), (146, 193), (158, 203)]


def neck(sheet):
    front, back = Spine(NECK_FRONT), Spine(NECK_BACK)
    whole = outline(
        NECK_FRONT, [(128, 222), (146, 220), (158, 203)], NECK_BACK[::-1],
        [(140, 84), (128, 80), (115, 80.5), (107, 86), (108.5, 101.5)],
    )
    # the dark tears down the fore-neck, in a clear channel
    for k in range(13):
        t = 0.26 + 0.052 * k
        lean = 0.30 + 0.03 * math.sin(2.1 * k)
        points = [across(front, back, t + dt, lean + 0.02 * dt) for dt in (0, 0.03, 0.06)]
        tear = stroke(points, leaf(2.6 + 0.08 * k, peak=0.62, sharp=0.9), stations=8)
        sheet.put("deep", tear, gap=0.9, least=0.4)
    for k in range(11):
        t = 0.30 + 0.056 * k
        points = [across(front, back, t + dt, 0.13) for dt in (0, 0.025, 0.05)]
        tear = stroke(points, leaf(1.9, peak=0.6, sharp=0.9), stations=8)
        sheet.put("deep", tear, gap=0.9, least=0.4)
    sheet.put("middle", whole, gap=1.0, least=0.7, name="neck")


def across(front, back, t, share):
    """A point of the neck: t along it, `share` from its front edge to its back edge."""
    return tuple((1 - share) * front.at(t) + share * back.at(t))


def breast_plumes(sheet):
    """Long lancets that hang from the foot of the neck."""
    rows = [
        ((122, 205), (126, 222), (127, 240), (123, 262), 5.2),
        ((127, 204), (133, 224), (136, 246), (135, 276), 5.8),
        ((117, 200), (118.5, 214), (117.5, 230), (112, 247), 4.8),
        ((133, 206), (141, 226), (146, 246), (149, 270), 5.6),
        ((138, 207), (148, 224), (155, 240), (162, 258), 5.2),
    ]
    for a, b, c, d, width in rows:
        spine = Spine([a, b, c, d])
        line = stroke([tuple(spine.at(t)) for t in (0.42, 0.6, 0.8, 0.93)],
                      leaf(1.1, peak=0.3, sharp=0.7), stations=8)
        plume = stroke(spine, leaf(width, peak=0.36, sharp=0.75, tip=1.25))
        sheet.put("deep", plume - line, gap=1.0, hide=plume)


# The folded wing is a patch between its top and its bottom edge; both run to the tip.
WING_TOP = [(140, 205), (152, 197), (172, 199), (198, 216), (224, 243), (246, 274), (262, 308)]
WING_LOW = [(140, 205), (138, 228), (146, 252), (166, 271), (194, 283), (226, 293), (262, 308)]


class Wing:
    """Points of the wing by (u, v): u from the shoulder to the tip, v from the back to the belly."""

    def __init__(self):
        self.top, self.low = Spine(WING_TOP), Spine(WING_LOW)

    def at(self, u, v):
        bend = 1.15 * math.sin(math.pi * min(max(v, 0), 1)) * 5
        a, b = self.top.at(min(u, 1)), self.low.at(min(u, 1))
        p = (1 - v) * a + v * b
        if u > 1:
            p = p + (u - 1) * 300 * self.top.along(1)
        return p + bend * (1 - u) * np.array([-0.25, 0.25])


def feather(wing, u0, u1, v0, v1, width, shaft=True, tip=0.62, peak=0.6):
    """A vane from (u0, v0) to (u1, v1) with a clear shaft line; returns the vane and its silhouette."""
    points = [tuple(wing.at(u0 + (u1 - u0) * s, v0 + (v1 - v0) * s ** 1.2)) for s in (0, 0.33, 0.67, 1)]
    spine = Spine(points)
    whole = stroke(spine, leaf(width, peak=peak, sharp=0.8, tip=tip), stations=10)
    if not shaft:
        return whole, whole
    line = stroke([tuple(spine.at(t)) for t in (0, 0.3, 0.6, 0.88)],
                  profile((0, 1.2), (0.6, 0.9), (1, 0.5)), stations=8)
    return whole - line, whole


def wing(sheet):
    patch = Wing()
    scapulars(sheet)
    # coverts, row by row from the shoulder: each row lies over the next
    rows = [(0.02, 3, 0.15, 8.5), (0.085, 4, 0.15, 9.5), (0.155, 5, 0.155, 10.5),
            (0.23, 6, 0.16, 11), (0.31, 7, 0.165, 11.5)]
    for index, (u, count, reach, width) in enumerate(rows):
        for k in sorted(range(count), key=lambda k: -k):
            v = 0.10 + 0.84 * (k + (0.5 if index % 2 else 0.32)) / count
            vane, whole = feather(patch, u, u + reach, v, v, width, shaft=index > 1, tip=0.5)
            sheet.put("deep", vane, gap=0.9, hide=whole)
    # greater coverts, secondaries, primaries
    for count, u, reach, width in [(7, 0.39, 0.26, 12), (7, 0.52, 0.33, 13), (6, 0.66, 0.42, 12)]:
        for k in range(count - 1, -1, -1):
            v = 0.08 + 0.88 * (k + 0.5) / count
            fan = v + (0.05 if reach > 0.3 else 0) * (v - 0.5)
            grow = reach * (1 + 0.10 * math.sin(3 * v))
            vane, whole = feather(patch, u, u + grow, v, fan, width, tip=0.55)
            sheet.put("deep", vane, gap=WALL, hide=whole)


def scapulars(sheet):
    """Long plumes from the shoulder, draping over the wing."""
    rows = [
        ((150, 199), (176, 204), (203, 228), (226, 266), 6.4),
        ((148, 201), (170, 210), (192, 232), (210, 264), 6.2),
        ((147, 203), (164, 214), (180, 234), (192, 259), 5.8),
        ((155, 197.5), (184, 201), (214, 226), (240, 268), 6.0),
    ]
    for a, b, c, d, width in rows:
        spine = Spine([a, b, c, d])
        line = stroke([tuple(spine.at(t)) for t in (0.3, 0.5, 0.7, 0.9)],
                      leaf(1.2, peak=0.3, sharp=0.7), stations=8)
        plume = stroke(spine, leaf(width, peak=0.34, sharp=0.7, tip=1.2))
        sheet.put("deep", plume - line, gap=WALL, hide=plume)


def body(sheet):
    # near thigh, the belly, the tail, the far wing along the back
    thigh = outline(
        [(170, 262), (166, 280), (168, 300), (172.5, 318)],
        [(172.5, 318), (177.5, 318)],
        [(177.5, 318), (184, 302), (192, 288), (200, 278)],
        [(200, 278), (184, 268), (170, 262)],
    )
    sheet.put("deep", thigh, gap=EDGE, name="thigh")
    belly = outline(
        [(132, 222), (133, 246), (143, 268), (162, 284), (188, 294), (216, 299), (240, 304)],
        [(240, 304), (226, 286), (190, 262), (150, 230), (132, 222)],
    )
    sheet.put("deep", belly, gap=EDGE, name="belly")
    for k, (x, y, w) in enumerate([(262, 324, 10), (252, 328, 10), (241, 329, 9)]):
        spine = Spine([(214 - 4 * k, 286), (236 - 3 * k, 304 + k), (x, y)])
        vane = stroke(spine, leaf(w, peak=0.66, sharp=0.8, tip=0.5))
        line = stroke([tuple(spine.at(t)) for t in (0.3, 0.6, 0.92)], profile((0, 1), (1, 0.6)), stations=6)
        sheet.put("middle", vane - line, gap=WALL, hide=vane)
    far = [
        ((176, 196), (206, 208), (234, 238), (256, 274), 9),
        ((186, 197), (218, 212), (246, 244), (268, 286), 9),
        ((196, 200), (230, 222), (258, 262), (275, 304), 8),
    ]
    for a, b, c, d, width in far:
        spine = Spine([a, b, c, d])
        vane = stroke(spine, leaf(width, peak=0.55, sharp=0.8, tip=0.6))
        line = stroke([tuple(spine.at(t)) for t in (0.2, 0.6, 0.93)], profile((0, 1), (1, 0.6)), stations=6)
        sheet.put("middle", vane - line, gap=EDGE, hide=vane)
    far_thigh = outline(
        [(194, 286), (198, 300), (203, 316)], [(203, 316), (208, 316)],
        [(208, 316), (213, 304), (219, 294)], [(219, 294), (206, 288), (194, 286)],
    )
    sheet.put("middle", far_thigh, gap=EDGE, name="far_thigh")


def legs(sheet):
    near = (stroke([(175, 316), (174.2, 330), (173.4, 343)], profile((0, 4.6), (0.8, 4.4), (1, 5.4)))
            | disc(173.4, 345.5, 3.7, 4.6)
            | stroke([(173.4, 347), (174.6, 372), (176.4, 402)],
                     profile((0, 5.2), (0.25, 4.4), (0.8, 4.6), (1, 5.2)), ends="round"))
    far = (stroke([(205.5, 314), (208.6, 326), (212.4, 338)], profile((0, 4.2), (0.8, 4.0), (1, 4.8)))
           | disc(213, 340.2, 3.3, 4.2)
           | stroke([(213, 342), (209.6, 366), (205.6, 394)],
                    profile((0, 4.8), (0.25, 4.0), (0.8, 4.2), (1, 4.8)), ends="round"))
    sheet.put("deep", near, gap=EDGE, name="leg")
    sheet.put("middle", far, gap=EDGE, name="far_leg")


# ---------------------------------------------------------------- reeds


def blade(points, width, peak=0.25):
    return stroke(points, profile((0, width * 0.55), (peak, width), (0.7, width * 0.62), (1, 0.15)))


def reed_head(sheet, stem, head_at, length, width, layer="deep", stem_layer="middle", gap=1.2):
    """A cattail: the brown head, the spike over it, the stem."""
    spine = Spine(stem)
    a, b = head_at, head_at + length / spine.length
    seed = stroke([tuple(spine.at(t)) for t in np.linspace(a, b, 4)],
                  leaf(width, peak=0.5, sharp=0.34), stations=10)
    sheet.put(layer, seed, gap=gap)
    spike = stroke([tuple(spine.at(t)) for t in (b + 0.004, (b + 1) / 2, 1)],
                   profile((0, 1.9), (0.5, 1.4), (1, 0.3)), stations=6)
    sheet.put(stem_layer, spike, gap=0.9)
    stalk = stroke([tuple(spine.at(t)) for t in np.linspace(0, a - 0.002, 6)],
                   profile((0, 3.4), (0.6, 2.6), (1, 2.0)))
    sheet.put(stem_layer, stalk, gap=gap)


def reeds_in_front(sheet):
    # the near clump at the left, its blades crossing in front of everything
    front = [
        ([(44, 432), (40, 372), (28, 300), (6, 236)], 8.6),
        ([(56, 434), (60, 380), (74, 330), (100, 292)], 8.0),
        ([(36, 430), (30, 390), (16, 352), (-0, 330)], 7.0),
    ]
    for points, width in front:
        sheet.put("middle", blade(points, width), gap=1.3)
    reed_head(sheet, [(48, 432), (52, 340), (52, 240), (46, 146)], 0.70, 50, 12.5)


def reeds_behind(sheet):
    reed_head(sheet, [(34, 430), (26, 350), (20, 280), (20, 186)], 0.68, 42, 11)
    reed_head(sheet, [(250, 428), (262, 330), (272, 220), (274, 96)], 0.76, 50, 12.5)
    reed_head(sheet, [(262, 430), (280, 360), (290, 280), (293, 170)], 0.72, 42, 11)
    back = [
        ([(50, 428), (58, 350), (82, 270), (88, 196)], 7.2),
        ([(40, 428), (36, 340), (44, 250), (70, 160)], 6.6),
        ([(28, 426), (18, 380), (6, 320), (2, 262)], 6.0),
        ([(256, 430), (250, 372), (232, 340), (214, 326)], 6.4),
        ([(254, 428), (262, 372), (284, 316), (298, 232)], 7.6),
        ([(246, 428), (246, 360), (256, 310), (282, 258)], 6.6),
        ([(266, 430), (276, 390), (290, 366), (300, 352)], 6.4),
    ]
    for points, width in back:
        sheet.put("middle", blade(points, width), gap=1.3)


def dragonfly(sheet):
    pass


# ---------------------------------------------------------------- water, moon, grasses


def ripple(x, y, rx, ry, start, stop, width):
    """An arc of an ellipse, degrees clockwise from the right, thickest in its middle."""
    angles = np.radians(np.linspace(start, stop, 7))
    return stroke([(x + rx * math.cos(a), y + ry * math.sin(a)) for a in angles],
                  leaf(width, peak=0.5, sharp=0.9))


def water(sheet):
    rings = [
        (176, 402, 14, 4.2, -200, 20, 2.2), (176, 402, 26, 8, 20, 200, 2.6), (176, 403, 42, 12.5, -20, 150, 3.0),
        (205.6, 394, 12, 3.6, -200, 20, 1.8), (205.6, 394, 24, 7, -10, 130, 2.0),
        (186, 404, 62, 18, 5, 175, 3.4), (186, 406, 86, 25, 20, 168, 3.6), (186, 408, 112, 33, 28, 152, 3.4),
    ]
    for r in rings:
        sheet.put("shallow", ripple(*r), gap=1.0)


def moon(sheet):
    x, y, r = 196, 98, 78
    ring = disc(x, y, r) - disc(x + 3.2, y - 3.0, r - 5.4)
    sheet.put("shallow", ring, gap=1.2, name="moon")
    sheet.put("shallow", disc(x + 3.6, y - 3.4, r - 8.2) - disc(x + 3.9, y - 3.7, r - 9.0), gap=1.2, least=0.3)


def grasses(sheet):
    rng = np.random.default_rng(7)
    for x0, lean, count in [(40, -1, 7), (256, 1, 7)]:
        for k in range(count):
            x = x0 + rng.uniform(-26, 26)
            h = rng.uniform(90, 210)
            bend = rng.uniform(-22, 22)
            points = [(x, 428), (x + bend * 0.2, 428 - h * 0.5), (x + bend, 428 - h)]
            sheet.put("shallow", stroke(points, profile((0, 1.6), (0.5, 1.3), (1, 0.15))), gap=1.1)


if __name__ == "__main__":
    main()
