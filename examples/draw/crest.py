#!/usr/bin/env python3
"""Draws crest.svg: a shield between oak sprigs over a name ribbon, for a straight-sided tumbler.

Usage: crest.py OUT.svg

The design is symmetric about x = 35 but for its key. Millimetres throughout.
"""

import math
import sys

import numpy as np
import pen
from pen import Shape, Sheet, Spine, acorn, disc, leaf, oak_leaf, outline, profile, stroke

WIDTH, HEIGHT = 70, 85
LAYERS = {"crest": "#f4f8f6", "name": "#8aa7ad"}
MIDDLE = 35.0
NAME = "MERROWBY"

pen.FINEST = 0.3


def main():
    sheet = Sheet(WIDTH, HEIGHT, LAYERS)
    ribbon(sheet)
    shield(sheet)
    torse(sheet)
    sprigs(sheet)
    with open(sys.argv[1], "w", encoding="utf-8") as file:
        file.write(sheet.svg(
            "Crest of the Merrowby family",
            "An invented family's crest for a tumbler. Groups are depths: crest, name. Millimetres.",
        ))


def both(shape):
    """The shape and its mirror image as one."""
    return shape | shape.mirrored(MIDDLE)


def put_both(sheet, layer, shape, hide=None, **options):
    """Lays a shape and its mirror image, each a shape of its own."""
    sheet.put(layer, shape, hide=hide, **options)
    sheet.put(layer, shape.mirrored(MIDDLE), hide=hide and hide.mirrored(MIDDLE), **options)


# ---------------------------------------------------------------- ribbon

CENTRE, RADIUS, BAND = (35.0, 22.0), 50.0, 9.2  # of the ribbon's arc


def arc(radius, start, stop, count=7):
    """Points on the ribbon's arc, degrees from straight down, positive to the right."""
    return [(CENTRE[0] + radius * math.sin(math.radians(a)), CENTRE[1] + radius * math.cos(math.radians(a)))
            for a in np.linspace(start, stop, count)]


def ribbon(sheet):
    inner, outer, end = RADIUS - BAND / 2, RADIUS + BAND / 2, 27.0
    whole = outline(arc(inner, -end, end), [arc(inner, end, end, 1)[0], arc(outer, end, end, 1)[0]],
                    arc(outer, end, -end), [arc(outer, -end, -end, 1)[0], arc(inner, -end, -end, 1)[0]])
    rim = 0.75
    for a, b in [(inner, inner + rim), (outer - rim, outer)]:
        edge = outline(arc(a, -end, end), [arc(a, end, end, 1)[0], arc(b, end, end, 1)[0]],
                       arc(b, end, -end), [arc(b, -end, -end, 1)[0], arc(a, -end, -end, 1)[0]])
        sheet.put("crest", edge, hide=False)
    for side in (1, -1):
        foot, head, a, b = inner + rim + 0.5, outer - rim - 0.5, side * (end - 0.8), side * end
        bar = outline(*[[arc(r, p, p, 1)[0], arc(q, t, t, 1)[0]]
                        for r, p, q, t in [(foot, a, head, a), (head, a, head, b), (head, b, foot, b), (foot, b, foot, a)]])
        sheet.put("crest", bar, hide=False)
    sheet.mask(whole)
    tails(sheet)
    radius = RADIUS + 0.35 * 6.6
    (x0, y0), (x1, y1) = arc(radius, -26, 26, 2)
    sheet.texts["name"].append(
        f'<defs><path id="ribbon_line" d="M{x0:.3f},{y0:.3f}A{radius:.3f},{radius:.3f} 0 0 0 {x1:.3f},{y1:.3f}"/></defs>'
        f'<text font-family="Cinzel" font-weight="600" font-size="6.6" letter-spacing="0.5" text-anchor="middle">'
        f'<textPath href="#ribbon_line" startOffset="50%">{NAME}</textPath></text>')


def tails(sheet):
    """The ends of the ribbon, folded back and out behind it."""
    fold = outline([(59.4, 71.7), (56.9, 76.3)], [(56.9, 76.3), (54.9, 73.8)], [(54.9, 73.8), (57.2, 72.8), (59.4, 71.7)])
    put_both(sheet, "crest", fold, gap=0.5, least=0.25)
    top = [(54.0, 67.0), (58.6, 64.4), (63.6, 62.9), (69.4, 62.7)]
    low = [(69.4, 71.7), (64.8, 72.2), (60.6, 73.8), (57.0, 76.6)]
    notch = (66.3, 67.2)
    tail = outline(top, [top[-1], notch], [notch, low[0]], low, [low[-1], top[0]])
    for y, reach in [(66.6, 65.0), (70.0, 64.6)]:
        tail = tail - stroke([(60.8, y + 0.7), (62.8, y + 0.2), (reach, y)], leaf(0.8, peak=0.35), stations=6)
    put_both(sheet, "name", tail, gap=0.6)


# ---------------------------------------------------------------- shield


def shield_shape(inset=0.0):
    left, right, top, low = 19.0, 51.0, 21.0, 63.6
    half = outline(
        [(35, top), (27, top + 0.9), (left, top - 0.6)],
        [(left, top - 0.6), (left - 0.2, top + 15), (left + 2.4, top + 26), (left + 8, top + 35.5), (35, low)],
        [(35, low), (right - 8, top + 35.5), (right - 2.4, top + 26), (right + 0.2, top + 15), (right, top - 0.6)],
        [(right, top - 0.6), (43, top + 0.9), (35, top)],
    )
    return half.grown(-inset)


LAMP = (35, 47.0)


def shield(sheet):
    field, line = shield_shape(1.9), 32.0
    above = outline([(0, 0), (70, 0)], [(70, 0), (70, line)], [(70, line), (35, line + 1.2), (0, line)], [(0, line), (0, 0)])
    sheet.put("crest", (field & above) - key(35.6, 27.9).scaled(0.8, 35, 27.9), hide=False, name="chief")
    light = [shape.scaled(0.93, *LAMP) for shape in lantern(*LAMP)]
    for shape in light:
        sheet.put("crest", shape, hide=False)
    rays(sheet, field - above.grown(0.8), light)
    whole = shield_shape()
    sheet.put("crest", whole - shield_shape(1.15), hide=whole, gap=0.6, name="rim")


def key(x, y):
    """A key lying, bow to the left; to be left clear in the chief."""
    bow = disc(x - 9.4, y, 2.5) | disc(x - 12.4, y, 1.9) | disc(x - 9.9, y - 2.7, 1.9) | disc(x - 9.9, y + 2.7, 1.9)
    eyes = disc(x - 9.2, y, 1.0) | disc(x - 12.6, y, 0.75) | disc(x - 9.9, y - 2.9, 0.75) | disc(x - 9.9, y + 2.9, 0.75)
    shaft = stroke([(x - 7.4, y), (x + 12.0, y)], 1.5, stations=4)
    collar = (stroke([(x - 6.2, y - 1.5), (x - 6.2, y + 1.5)], 1.0, stations=4)
              | stroke([(x - 4.5, y - 1.2), (x - 4.5, y + 1.2)], 0.8, stations=4))
    bit = box(x + 6.4, y, x + 11.4, y + 3.9)
    wards = box(x + 7.6, y + 2.0, x + 8.3, y + 4.2) | box(x + 9.5, y + 2.0, x + 10.2, y + 4.2) | disc(x + 8.9, y + 1.4, 0.42)
    return (bow - eyes) | shaft | collar | (bit - wards)


def box(a, b, c, d):
    return outline([(a, b), (c, b)], [(c, b), (c, d)], [(c, d), (a, d)], [(a, d), (a, b)])


def lantern(x, y):
    """Ring, cap, four panes with a flame, foot; its parts parted by clear lines."""
    ring = disc(x, y - 11.4, 1.9) - disc(x, y - 11.4, 1.15)
    knob = outline([(x - 1.2, y - 8.9), (x, y - 9.4), (x + 1.2, y - 8.9)], [(x + 1.2, y - 8.9), (x + 1.0, y - 8.0)],
                   [(x + 1.0, y - 8.0), (x - 1.0, y - 8.0)], [(x - 1.0, y - 8.0), (x - 1.2, y - 8.9)])
    cap = outline([(x - 1.5, y - 7.5), (x - 2.4, y - 6.2), (x - 5.6, y - 4.6)], [(x - 5.6, y - 4.6), (x - 5.6, y - 3.7)],
                  [(x - 5.6, y - 3.7), (x + 5.6, y - 3.7)], [(x + 5.6, y - 3.7), (x + 5.6, y - 4.6)],
                  [(x + 5.6, y - 4.6), (x + 2.4, y - 6.2), (x + 1.5, y - 7.5)], [(x + 1.5, y - 7.5), (x - 1.5, y - 7.5)])
    flame = outline([(x + 0.2, y - 2.4), (x - 1.0, y - 0.2), (x - 1.7, y + 1.8), (x, y + 3.9)],
                    [(x, y + 3.9), (x + 1.7, y + 1.9), (x + 1.0, y + 0.0), (x + 0.2, y - 2.4)])
    heart = outline([(x, y + 0.8), (x - 0.55, y + 2.0), (x, y + 2.9)], [(x, y + 2.9), (x + 0.55, y + 2.0), (x, y + 0.8)])
    panes = []
    for side in (-1, 1):
        pane = outline([(x + side * 2.5, y - 2.9), (x + side * 4.6, y - 2.9)],
                       [(x + side * 4.6, y - 2.9), (x + side * 5.0, y + 1.2), (x + side * 4.2, y + 5.0)],
                       [(x + side * 4.2, y + 5.0), (x + side * 2.3, y + 5.0)],
                       [(x + side * 2.3, y + 5.0), (x + side * 2.9, y + 1.2), (x + side * 2.5, y - 2.9)])
        panes.append(pane)
    foot = outline([(x - 4.6, y + 5.8), (x + 4.6, y + 5.8)], [(x + 4.6, y + 5.8), (x + 5.4, y + 7.2)],
                   [(x + 5.4, y + 7.2), (x - 5.4, y + 7.2)], [(x - 5.4, y + 7.2), (x - 4.6, y + 5.8)])
    sole = box(x - 6.2, y + 7.8, x + 6.2, y + 8.8)
    return [ring, knob, cap, flame - heart, *panes, foot, sole]


def rays(sheet, field, light):
    """Light about the lantern, held inside the shield."""
    x, y = LAMP
    keep = box(x - 5, y - 4, x + 5, y + 9)
    for shape in light:
        keep = keep | shape.grown(0.9)
    for k in range(2, 23):  # none beside the ring
        a = math.radians(15 * k)
        inner, outer = (8.4, 22.0) if k % 2 else (9.4, 13.0)
        points = [(x + r * math.sin(a), y - r * math.cos(a)) for r in (inner, (inner + outer) / 2, outer)]
        ray = stroke(points, profile((0, 0.55), (0.45, 0.85), (1, 0.35)), stations=6)
        ray = (ray & field.grown(-0.35)) - keep
        if not ray.empty and ray.area > 1.2:
            sheet.put("name", ray, hide=False)


# ---------------------------------------------------------------- over the shield


def torse(sheet):
    """The twisted roll on the shield's top edge, and an acorn between two leaves on it."""
    y = 17.9
    for k in range(7):
        x = 35 + (k - 3) * 3.5
        lift = 0.10 * (k - 3) ** 2
        rise = [(-2.0, 0.9), (-0.4, 0.2), (0.4, -0.2), (2.0, -0.9)]
        twist = stroke([(x + u, y + v - lift) for u, v in rise],
                       leaf(2.7, peak=0.5, sharp=0.6), stations=8)
        sheet.put("crest" if k % 2 == 0 else "name", twist, gap=0.45)
    nut, cup, whole = acorn(35, 14.6, 10.2, 180)
    sheet.put("crest", nut, hide=False)
    sheet.put("crest", cup, hide=whole)
    stem = stroke([(35, 14.6), (35, 16.4)], 0.9, stations=4)
    sheet.put("crest", stem, gap=0.4)
    for points, width in [([(35.6, 15.9), (39.6, 14.2), (43.4, 10.6), (45.6, 6.4)], 6.2)]:
        seen, whole = oak_leaf(points, width, lobes=3, vein=0.42)
        put_both(sheet, "crest", seen, hide=whole, gap=0.6)


SPRIG = [(37.6, 66.0), (48.6, 62.4), (56.0, 54.6), (59.4, 44.4), (59.2, 34.4), (56.4, 26.2)]


def sprigs(sheet):
    stem = Spine(SPRIG)
    stalks = acorns(sheet, stem)
    put_both(sheet, "crest", stalks | stroke(stem, profile((0, 1.3), (0.6, 1.0), (1, 0.7))), gap=0.4, scrap=0.4)
    # share of the stem, side (1 outward), length, angle to the stem in degrees, width
    for t, side, length, angle, width in [
        (1.0, 1, 11.0, 4, 6.8), (0.87, 1, 11.5, 40, 6.8), (0.84, -1, 9.4, 26, 5.6), (0.68, 1, 11.5, 44, 7.0),
        (0.65, -1, 9.6, 26, 5.6), (0.46, -1, 9.8, 22, 5.6), (0.27, -1, 10.0, 18, 5.6),
        (0.30, 1, 10.0, 52, 6.2),
    ]:
        base, along = stem.at(t), stem.along(min(t, 0.98))
        turn = math.radians(angle) * side
        c, s = math.cos(turn), math.sin(turn)
        way = np.array([along[0] * c - along[1] * s, along[0] * s + along[1] * c])
        off = np.array([-along[1], along[0]]) * (0.0 if t == 1 else 0.8 * side)
        bow = np.array([-way[1], way[0]]) * (-0.07 * length * side)
        points = [tuple(base + off + way * (length * u + 0.5) + bow * math.sin(math.pi * u)) for u in (0, 0.35, 0.7, 1)]
        seen, whole = oak_leaf(points, width, lobes=3, vein=0.42)
        put_both(sheet, "crest", seen, hide=whole, gap=0.5)


def acorns(sheet, stem):
    """Two acorns on each sprig; returns their stalks."""
    stalks = Shape()
    for t, hang, size, degrees in [(0.575, (64.8, 46.4), 7.0, -12), (0.385, (63.0, 54.6), 7.0, -22)]:
        x, y = stem.at(t)
        nut, cup, whole = acorn(*hang, size, degrees)
        put_both(sheet, "crest", nut, hide=False, gap=0.4)
        put_both(sheet, "crest", cup, hide=whole, gap=0.4)
        stalks = stalks | stroke([(x, y), ((x + hang[0]) / 2 + 0.6, min(y, hang[1]) - 0.9), hang], 0.8, stations=5)
    return stalks


if __name__ == "__main__":
    main()
