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
from pen import Sheet, Spine, disc, leaf, outline, profile, stroke

WIDTH, HEIGHT = 300, 460
LAYERS = {"deep": "#f4f8f6", "middle": "#9fb9bd", "shallow": "#5d7c86"}

WALL = 1.25  # resist between neighbouring feathers
EDGE = 1.4  # resist round the bird


def main():
    sheet = Sheet(WIDTH, HEIGHT, LAYERS)
    lily(sheet)
    pools = waterline(sheet)
    reeds_in_front(sheet)
    head(sheet)
    plumes(sheet)
    neck(sheet)
    wing(sheet)
    body(sheet)
    legs(sheet)
    dragonfly(sheet)
    reeds_behind(sheet)
    grasses(sheet)
    for pool in pools:
        sheet.lift(pool)
    water(sheet)
    clouds(sheet)
    moon(sheet)
    with open(sys.argv[1], "w", encoding="utf-8") as file:
        file.write(sheet.svg(
            "Heron among reeds",
            "Back-carved glass panel, seen from the front. Groups are depths: deep, middle, shallow. Millimetres.",
        ))


def lined(spine, shape, share, width=1.1):
    """The shape less a tapering line along its spine, from and to the given shares."""
    a, b = share
    line = stroke([tuple(spine.at(t)) for t in np.linspace(a, b, 4)],
                  profile((0, width), (0.5, width * 0.9), (1, width * 0.7)), stations=8)
    return shape - line


# ---------------------------------------------------------------- the bird


def head(sheet):
    eye = disc(117.6, 87.2, 2.9)
    pupil = disc(117.2, 87.2, 1.35)
    sheet.put("deep", pupil, least=0, hide=eye, name="eye")
    # crown: a dark band from the bill over the eye, running out into two plumes
    crown = outline(
        [(107.6, 82.4), (114, 78.7), (123, 76.6), (133, 78.8), (147, 85.0), (166, 91.4), (187, 94.4), (209, 90.6)],
        [(209, 90.6), (187, 97.6), (165, 96.4), (149, 92.0), (138, 89.2), (129.5, 86.8), (122.5, 83.3),
         (115, 82.3), (107.6, 82.4)],
    )
    plume = stroke([(139, 89), (153, 97.6), (171, 106.8), (195, 111.4)],
                   profile((0, 3.0), (0.3, 4.6), (0.65, 2.8), (1, 0.5)))
    sheet.put("deep", crown, name="crown")
    sheet.put("deep", plume, name="plume")
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
        [(109.4, 85.0), (113.0, 84.4)], [(113.0, 84.4), (113.2, 87.4), (113.9, 90.4)],
        [(113.9, 90.4), (112.6, 90.2)], [(112.6, 90.2), (111.4, 87.6), (109.4, 85.0)],
    )
    sheet.put("shallow", lore, gap=0.7, least=0.4, scrap=1)


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
    # a clear channel down the fore-neck, with the dark tears in it
    for k in range(12):
        tear_at(sheet, front, back, 0.265 + 0.056 * k, 0.385, 2.9 + 0.07 * k)
    for k in range(12):
        tear_at(sheet, front, back, 0.293 + 0.056 * k, 0.235, 2.4 + 0.07 * k)
    left, right = np.linspace(0.26, 0.99, 8), np.linspace(0.99, 0.26, 8)
    tip = across(front, back, 0.17, 0.37)
    sheet.mask(outline([tip, *[across(front, back, t, 0.165) for t in left]],
                       [*[across(front, back, t, 0.455) for t in right], tip]))
    # flow lines between nape and shoulder
    for share, a, b in [(0.60, 0.26, 0.72), (0.72, 0.14, 0.60), (0.73, 0.68, 0.97), (0.85, 0.34, 0.90), (0.60, 0.80, 0.98)]:
        line = stroke([across(front, back, t, share) for t in np.linspace(a, b, 6)],
                      leaf(1.5, peak=0.5, sharp=0.8))
        whole = whole - line
    sheet.put("middle", whole, gap=1.0, least=0.8, name="neck", scrap=5)


def across(front, back, t, share):
    """A point of the neck: t along it, `share` from its front edge to its back edge."""
    return tuple((1 - share) * front.at(t) + share * back.at(t))


def tear_at(sheet, front, back, t, share, width):
    points = [across(front, back, t + dt, share) for dt in (0, 0.027, 0.054)]
    sheet.put("deep", stroke(points, leaf(width, peak=0.62, sharp=0.85), stations=8), gap=0.9, least=0.4)


def plumes(sheet):
    """Long lancets that hang from the foot of the neck, over the breast and the shoulder."""
    rows = [
        ("deep", (121, 206), (126, 224), (127, 242), (122, 266), 5.4),
        ("deep", (127, 208), (134, 228), (137, 250), (135, 282), 6.0),
        ("deep", (116, 201), (118.5, 216), (117.5, 232), (110, 250), 5.0),
        ("deep", (134, 209), (142, 229), (147, 250), (149, 274), 6.0),
        ("deep", (140, 209), (150, 226), (157, 242), (163, 261), 5.6),
        ("deep", (146, 207), (158, 220), (168, 233), (177, 250), 5.2),
        ("deep", (151, 204), (164, 213), (177, 225), (189, 241), 5.0),
        ("middle", (124, 210), (130, 232), (131, 250), (128.5, 276), 5.6),
        ("middle", (119, 205), (122.6, 222), (122, 240), (116, 258), 5.2),
        ("middle", (113.5, 196), (114, 210), (111.5, 222), (105, 237), 4.6),
        ("middle", (131, 212), (139.5, 236), (142, 258), (142, 280), 5.6),
        ("middle", (138, 213), (147, 230), (153, 248), (157, 272), 7.0),
        ("middle", (144, 211), (156, 226), (165, 242), (172, 262), 7.4),
        ("middle", (149, 207), (162, 219), (174, 232), (185, 250), 7.2),
        ("middle", (156, 203), (169, 211), (182, 221), (196, 236), 6.0),
    ]
    for layer, a, b, c, d, width in rows:
        spine = Spine([a, b, c, d])
        plume = stroke(spine, leaf(width, peak=0.38, sharp=0.72, tip=1.2))
        seen = lined(spine, plume, (0.30, 0.74), 1.15) if layer == "deep" else plume
        sheet.put(layer, seen, gap=1.1, hide=plume)


# The folded wing is a patch between its top and its bottom edge.
WING_TOP = [(146, 205), (158, 197.5), (178, 199), (204, 215), (230, 242), (252, 271), (270, 299)]
WING_LOW = [(142, 209), (138.5, 230), (147, 254), (167, 272), (194, 285), (222, 297), (249, 313)]


class Wing:
    """Points of the wing by (u, v): u from the shoulder to the tip, v from the back to the belly."""

    def __init__(self):
        self.top, self.low = Spine(WING_TOP), Spine(WING_LOW)

    def at(self, u, v):
        a, b = self.top.at(min(u, 1)), self.low.at(min(u, 1))
        p = (1 - v) * a + v * b
        if u > 1:
            p = p + (u - 1) * 175 * ((1 - v) * self.top.along(1) + v * self.low.along(1))
        belly = math.sin(math.pi * min(max(v, 0), 1)) * math.sin(math.pi * min(u, 1))
        return p + 4.0 * belly * np.array([-0.6, 0.6])


def vane(patch, start, stop, width, shaft=True, tip=0.62, peak=0.6):
    """A feather from one (u, v) to another; returns it with its shaft line clear, and its silhouette."""
    (u0, v0), (u1, v1) = start, stop
    spine = Spine([tuple(patch.at(u0 + (u1 - u0) * s, v0 + (v1 - v0) * s**1.3)) for s in (0, 0.33, 0.67, 1)])
    whole = stroke(spine, leaf(width, peak=peak, sharp=0.8, tip=tip), stations=10)
    return (lined(spine, whole, (0.02, 0.82), 1.2) if shaft else whole), whole


def wing(sheet):
    patch = Wing()
    # scapulars: long plumes draped from the shoulder along the back
    for k in range(6):
        v0, v1 = 0.03 + 0.055 * k, 0.045 + 0.078 * k
        seen, whole = vane(patch, (0.02 + 0.01 * k, v0), (0.80 - 0.072 * k, v1), 8.4, shaft=k == 0, tip=1.0, peak=0.5)
        sheet.put("deep", seen, gap=WALL, hide=whole)
    # coverts, row by row from the shoulder: each row lies over the next
    rows = [(0.03, 2, 0.15, 10.5), (0.10, 3, 0.15, 11), (0.175, 3, 0.16, 12.5), (0.255, 4, 0.165, 12.5)]
    for index, (u, count, reach, width) in enumerate(rows):
        for k in range(count - 1, -1, -1):
            v = 0.40 + 0.58 * (k + (0.62 if index % 2 else 0.40)) / count
            seen, whole = vane(patch, (u, v), (u + reach, v), width, shaft=k == count - 1, tip=0.5)
            sheet.put("deep", seen, gap=1.1, hide=whole)
    # greater coverts, secondaries, primaries: first v, last v, count, u, reach, width, tip
    for first, last, count, u, reach, width, tip in [
        (0.36, 0.98, 6, 0.33, 0.27, 13, 0.5),
        (0.20, 0.97, 7, 0.47, 0.34, 14, 0.5),
        (0.06, 0.90, 6, 0.66, 0.44, 12.5, 0.85),
    ]:
        for k in range(count - 1, -1, -1):
            v = first + (last - first) * k / (count - 1)
            grow = reach * (1 + 0.13 * math.sin(math.pi * k / (count - 1)))
            if u > 0.6:  # the primaries step back one behind the other
                grow += 0.11 - 0.022 * k
            seen, whole = vane(patch, (u, v), (u + grow, v), width, shaft=k == count - 1, tip=tip)
            sheet.put("deep", seen, gap=WALL, hide=whole)


def body(sheet):
    thigh = outline(
        [(168, 262), (165.5, 280), (168, 300), (172.0, 318)], [(172.0, 318), (177.8, 318)],
        [(177.8, 318), (184, 303), (193, 290), (202, 280)], [(202, 280), (184, 268), (168, 262)],
    )
    for points in [((176, 283), (174.5, 296), (175, 309)), ((184, 285), (180, 296), (177.4, 305)),
                   ((169.6, 282), (170.4, 292), (172, 303))]:
        thigh = thigh - stroke(points, leaf(1.3, peak=0.4, sharp=0.8), stations=8)
    sheet.put("deep", thigh, gap=EDGE, name="thigh")
    belly = outline(
        [(122, 236), (127, 258), (138, 276), (156, 288), (186, 297), (214, 302), (242, 309)],
        [(242, 309), (226, 286), (190, 262), (150, 230), (122, 236)],
    )
    for points in [((146, 272), (153, 278.5), (162, 282)), ((137, 266), (145, 277), (156, 284)),
                   ((200, 290), (212, 294), (224, 297.5)), ((206, 294.4), (218, 297.6), (230, 301.4))]:
        belly = belly - stroke(points, leaf(1.3, peak=0.5, sharp=0.8), stations=8)
    sheet.put("deep", belly, gap=1.1, least=0.8, name="belly", scrap=7)
    for k, (x, y, w) in enumerate([(268, 331, 10), (257, 334, 10), (245, 333, 9)]):
        spine = Spine([(214 - 4 * k, 290), (237 - 3 * k, 308 + k), (x, y)])
        whole = stroke(spine, leaf(w, peak=0.66, sharp=0.8, tip=0.5))
        sheet.put("middle", lined(spine, whole, (0.3, 0.92), 1.15), gap=WALL, hide=whole)
    far_wing(sheet)
    far_thigh = outline(
        [(194, 288), (198, 302), (203, 317)], [(203, 317), (208, 317)],
        [(208, 317), (213, 306), (219, 296)], [(219, 296), (206, 290), (194, 288)],
    )
    far_thigh = far_thigh - stroke([(204.5, 301), (205, 307), (205.4, 313)], leaf(1.2), stations=8)
    sheet.put("middle", far_thigh, gap=EDGE, name="far_thigh")


def far_wing(sheet):
    """The edge of the wing on the other side, seen along the back."""
    for a, b, c, d, width in [
        ((184, 203), (208, 209), (236, 236), (260, 272), 10),
        ((198, 206), (222, 213), (250, 244), (273, 287), 10),
        ((214, 214), (237, 224), (263, 262), (283, 306), 9),
    ]:
        spine = Spine([a, b, c, d])
        whole = stroke(spine, leaf(width, peak=0.6, sharp=0.8, tip=0.6))
        sheet.put("middle", lined(spine, whole, (0.2, 0.93), 1.15), gap=EDGE, hide=whole)


def legs(sheet):
    near = (stroke([(175, 316), (174.2, 330), (173.4, 344)], profile((0, 4.8), (0.7, 4.4), (1, 5.6)))
            | disc(173.3, 345.8, 3.8, 4.8)
            | stroke([(173.4, 346), (174.6, 372), (176.4, 402)],
                     profile((0, 5.8), (0.22, 4.4), (0.8, 4.7), (1, 5.4)), ends="round"))
    far = (stroke([(205.5, 314), (208.6, 326), (212.4, 339)], profile((0, 4.4), (0.7, 4.0), (1, 5.0)))
           | disc(213, 340.6, 3.4, 4.4)
           | stroke([(213, 341), (209.6, 366), (205.6, 394)],
                    profile((0, 5.2), (0.22, 4.0), (0.8, 4.2), (1, 4.8)), ends="round"))
    sheet.put("deep", near, gap=EDGE, name="leg")
    sheet.put("middle", far, gap=EDGE, name="far_leg")
    # broken reflections
    for x, y, layer, sway in [(178.6, 410, "middle", 1), (204.4, 402, "shallow", -1)]:
        for k in range(4):
            x0, y0, w = x + sway * 1.0 * k, y + 7 * k, 5.2 - 0.8 * k
            wave = stroke([(x0 - w, y0 - 1), (x0, y0 + 0.7), (x0 + w, y0 - 1)], leaf(2.4 - 0.3 * k, sharp=0.8), stations=8)
            sheet.put(layer, wave, gap=1.0)


# ---------------------------------------------------------------- reeds


def waterline(sheet):
    """Hides the feet of the reeds: they enter the water along the near rim of an ellipse."""
    return [sheet.mask(outline(
        [(x - 48, 412), (x - 38, 416), (x - 20, 421), (x, 423), (x + 20, 421), (x + 38, 416), (x + 48, 412)],
        [(x + 48, 412), (x + 50, 448)], [(x + 50, 448), (x - 50, 448)], [(x - 50, 448), (x - 48, 412)],
    )) for x in (46, 258)]


def blade(sheet, points, width, rib=True, gap=1.3):
    spine = Spine(points)
    whole = stroke(spine, profile((0, width * 0.62), (0.28, width), (0.7, width * 0.62), (1, 0.15)))
    seen = lined(spine, whole, (0.06, 0.62), 1.15) if rib else whole
    sheet.put("middle", seen, gap=gap, hide=whole, scrap=6)


def reed(sheet, stem, head_at, length, width):
    """A cattail: the seed head, the spike over it, the stem."""
    spine = Spine(stem)
    a, b = head_at, head_at + length / spine.length
    inset = 0.40 * width / spine.length  # the round ends reach beyond the axis
    axis = Spine([tuple(spine.at(t)) for t in np.linspace(a + inset, b - inset, 4)])
    seed = stroke(axis, profile((0, width * 0.84), (0.3, width), (0.6, width), (1, width * 0.78)))
    glint = stroke([tuple(axis.side(t, 0.20 * width)) for t in (0.04, 0.4, 0.8)], leaf(1.5, peak=0.4, sharp=0.7))
    sheet.put("deep", seed - glint, gap=1.3, hide=seed)
    spike = stroke([tuple(spine.at(t)) for t in (b + 0.004, (b + 1) / 2, 1)],
                   profile((0, 2.2), (0.5, 1.6), (1, 0.3)), stations=6)
    sheet.put("middle", spike, gap=0.9)
    stalk = stroke([tuple(spine.at(t)) for t in np.linspace(0, a - 0.002, 6)],
                   profile((0, 3.8), (0.6, 3.0), (1, 2.3)))
    sheet.put("middle", stalk, gap=1.3, scrap=5)


def reeds_in_front(sheet):
    blade(sheet, [(43, 430), (41, 382), (33, 330), (13, 290)], 9.4)
    blade(sheet, [(58, 430), (62, 380), (76, 332), (103, 300)], 8.6)
    blade(sheet, [(34, 430), (29, 392), (17, 362), (1, 346)], 7.2)
    reed(sheet, [(50, 430), (54, 345), (55, 255), (50, 176)], 0.68, 50, 13)
    blade(sheet, [(262, 430), (268, 394), (281, 366), (299, 352)], 7.2)


def reeds_behind(sheet):
    reed(sheet, [(33, 430), (25, 360), (20, 292), (22, 208)], 0.64, 42, 11)
    reed(sheet, [(252, 430), (264, 330), (275, 220), (276, 104)], 0.77, 52, 13)
    reed(sheet, [(267, 430), (280, 362), (289, 282), (291, 186)], 0.72, 42, 11)
    blade(sheet, [(256, 430), (261, 378), (276, 322), (297, 262)], 8.4)
    blade(sheet, [(51, 430), (60, 350), (82, 275), (86, 206)], 7.6)
    blade(sheet, [(40, 430), (38, 370), (40, 310), (35, 250)], 7.0)
    blade(sheet, [(247, 430), (243, 388), (232, 358), (216, 342)], 7.0)
    blade(sheet, [(66, 430), (74, 398), (88, 372), (106, 354)], 6.4, rib=False)
    blade(sheet, [(242, 430), (245, 380), (252, 330), (254, 300)], 6.2, rib=False)
    blade(sheet, [(25, 430), (15, 392), (7, 350), (4, 312)], 6.0, rib=False)


# ---------------------------------------------------------------- small life


def dragonfly(sheet):
    """Hovers before the bill; its wing veins are as fine as the panel goes."""
    x, y = 47, 140
    axis = Spine([(x - 7, y - 3.4), (x + 4, y - 0.4), (x + 15, y + 1.4), (x + 26, y + 5.4)])
    for a, b, w in [(0.16, 0.36, 4.4), (0.385, 0.52, 2.5), (0.545, 0.68, 2.3), (0.705, 0.84, 2.1), (0.865, 1.0, 2.2)]:
        part = stroke([tuple(axis.at(t)) for t in np.linspace(a, b, 3)], leaf(w, sharp=0.45), stations=6)
        sheet.put("middle", part, gap=0.8, least=0.4)
    sheet.put("middle", disc(x - 5.9, y - 3.1, 2.3), gap=0.7, least=0.4)
    for fore in (True, False):
        for up in (-1, 1):
            wing_of_fly(sheet, x + (0.2 if fore else 3.4), y - (1.4 if fore else 0.6), fore, up)


def wing_of_fly(sheet, x, y, fore, up):
    reach = 25 if fore else 22
    lean = -7 if fore else 9
    tip = (x + lean, y + up * reach)
    spine = Spine([(x, y + up * 2.2), (x + lean * 0.42, y + up * reach * 0.5), tip])
    whole = stroke(spine, leaf(7.4 if fore else 8.2, peak=0.66, sharp=0.75, tip=0.5), stations=10)
    veins = stroke([tuple(spine.at(t)) for t in np.linspace(0.06, 0.9, 4)], 0.6, stations=6)
    for t in (0.3, 0.45, 0.6, 0.74, 0.87):
        for side in (-1, 1):
            veins = veins | stroke([tuple(spine.at(t - 0.05)), tuple(spine.side(t + 0.05, side * 5))], 0.6, stations=4)
    net = (whole - whole.grown(-0.7)) | (veins & whole)
    sheet.put("shallow", net, gap=0.8, least=0.3, hide=whole, scrap=0.6)


def lily(sheet):
    """A water lily with two pads: the nearest thing in the picture."""
    x, y = 112, 434
    for lean, reach, width in [(0, 17, 8.4), (-24, 17.5, 7.6), (24, 17.5, 7.6), (-47, 18, 7.0), (47, 18, 7.0),
                               (-68, 18.5, 6.2), (68, 18.5, 6.2)]:
        a = math.radians(lean)
        bow = 0.16 * lean / 68
        spine = Spine([(x, y), (x + reach * 0.5 * math.sin(a + bow), y - reach * 0.5 * math.cos(a + bow)),
                       (x + reach * math.sin(a), y - reach * 0.86 * math.cos(a) - 0.6)])
        whole = stroke(spine, leaf(width, peak=0.56, sharp=0.85, tip=0.95), stations=10)
        sheet.put("deep", lined(spine, whole, (0.45, 0.85), 1.0), gap=0.9, hide=whole)
    for lean in (-12, 12, -36, 36, -58, 58):
        a = math.radians(lean)
        spine = Spine([(x, y), (x + 10 * math.sin(a), y - 9 * math.cos(a)), (x + 20 * math.sin(a), y - 18.5 * math.cos(a))])
        sheet.put("middle", stroke(spine, leaf(7, peak=0.6, sharp=0.85, tip=0.9), stations=10), gap=0.9)
    pad(sheet, 120, 440, 27, 7.8, 48)
    pad(sheet, 80, 447, 22, 6.4, 128)
    pad(sheet, 226, 443, 25, 7.2, 128)


def pad(sheet, x, y, rx, ry, notch):
    """A floating leaf: an ellipse with a notch and clear veins that run out from it."""
    at = lambda r, degrees: (x + r * rx * math.cos(math.radians(degrees)),  # noqa: E731
                             y + r * ry * math.sin(math.radians(degrees)))
    whole = disc(x, y, rx, ry)
    seen = whole
    for k in range(1, 12):
        angle = notch + 30 * k
        seen = seen - stroke([at(0.30, angle), at(0.84, angle)], profile((0, 1.2), (1, 0.9)), stations=4)
    heart, left, right = at(0.06, notch + 180), at(1.2, notch - 12), at(1.2, notch + 12)
    wedge = outline([heart, left], [left, right], [right, heart])
    sheet.put("middle", seen - wedge, gap=1.1, hide=whole - wedge, scrap=1.0)


# ---------------------------------------------------------------- water, sky


def ripple(sheet, x, y, rx, ry, start, stop, width):
    """An arc of an ellipse, degrees clockwise from the right, thickest in its middle."""
    angles = np.radians(np.linspace(start, stop, 9))
    arc = stroke([(x + rx * math.cos(a), y + ry * math.sin(a)) for a in angles], leaf(width, peak=0.5, sharp=0.9))
    sheet.put("shallow", arc, gap=1.0, scrap=3)


def water(sheet):
    for r in [
        (176.4, 402, 13, 4.2, -195, 15, 2.2), (176.4, 402, 25, 8, 20, 200, 2.6), (176.4, 403, 40, 12.5, -25, 150, 3.0),
        (205.6, 394, 12, 3.6, -200, 20, 1.8), (205.6, 394, 24, 7, -40, 110, 2.2),
        (186, 403, 60, 18, 38, 172, 3.2), (186, 404, 84, 25, 52, 152, 3.6), (178, 405, 92, 34, 60, 112, 3.6),
        (46, 414, 38, 9.6, 12, 168, 2.6), (46, 415, 52, 15, 22, 150, 3.0), (46, 416, 66, 22, 38, 132, 3.0),
        (258, 414, 36, 9.6, 12, 168, 2.6), (258, 415, 47, 15, 30, 150, 3.0), (262, 416, 54, 23, 44, 104, 3.0),
    ]:
        ripple(sheet, *r)
    # the far shore, in the mist
    for points, w in [
        ([(92, 384), (112, 382.4), (136, 383), (164, 381.4)], 2.2), ([(182, 378), (200, 376.6), (226, 377.6), (244, 376)], 2.0),
        ([(100, 372), (122, 370.8), (150, 371.6)], 1.6), ([(108, 393), (126, 394.2), (150, 393)], 1.8),
        ([(218, 386), (230, 385.2), (246, 386)], 1.6),
    ]:
        sheet.put("shallow", stroke(points, leaf(w, sharp=0.9)), gap=1.2)


def clouds(sheet):
    for points, w in [
        ([(58, 172), (92, 167), (126, 171), (168, 166), (206, 169), (250, 163)], 3.6),
        ([(168, 178), (196, 176), (226, 179), (262, 175)], 2.6),
        ([(150, 60), (184, 56), (214, 59), (262, 53)], 3.0),
        ([(190, 68), (214, 66.4), (242, 68)], 1.8),
        ([(30, 60), (58, 56.6), (86, 59.4), (118, 55.6)], 2.4),
        ([(52, 67.6), (74, 65.6), (98, 67.4)], 1.6),
    ]:
        sheet.put("shallow", stroke(points, leaf(w, sharp=0.85)), gap=1.2)


def moon(sheet):
    x, y, r = 166, 112, 86
    sheet.put("shallow", disc(x, y, r) - disc(x + 3.6, y - 3.4, r - 6.4), gap=1.3, name="moon", scrap=25)
    sheet.put("shallow", disc(x + 4.0, y - 3.8, r - 9.0) - disc(x + 4.2, y - 4.0, r - 9.9), gap=1.3, least=0.3)


def grasses(sheet):
    for points in [
        [(70, 426), (76, 360), (92, 300), (112, 262)], [(60, 426), (70, 340), (96, 262), (124, 238)],
        [(28, 426), (12, 350), (10, 290), (13, 240)], [(56, 426), (64, 330), (70, 250), (66, 184)],
        [(74, 424), (86, 390), (104, 366), (126, 352)],
        [(240, 426), (236, 380), (226, 350), (206, 326)], [(250, 426), (252, 350), (262, 270), (262, 232)],
        [(272, 426), (288, 380), (296, 330), (298, 300)], [(246, 426), (240, 400), (228, 386), (212, 374)],
    ]:
        spine = Spine(points)
        sheet.put("shallow", stroke(spine, profile((0, 2.0), (0.5, 1.5), (1, 0.2))), gap=1.2, scrap=14)


if __name__ == "__main__":
    main()
