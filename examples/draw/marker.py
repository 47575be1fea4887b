#!/usr/bin/env python3
"""Draws marker.svg: an inscription inside an oak and wheat wreath, for a granite marker.

Usage: marker.py OUT.svg

The wreath is symmetric about x = 250. Millimetres throughout.
"""

import math
import sys

import numpy as np
import pen
from pen import Shape, Sheet, Spine, acorn, blob, disc, leaf, oak_leaf, outline, profile, stroke

WIDTH, HEIGHT = 500, 320
LAYERS = {"letters": "#f6f2e8", "wreath": "#b9b08f", "ornament": "#7d7a66"}
MIDDLE = 250.0

pen.FINEST = 0.8


def main():
    sheet = Sheet(WIDTH, HEIGHT, LAYERS)
    inscription(sheet)
    bow(sheet)
    wheat(sheet)
    oak(sheet)
    frame(sheet)
    with open(sys.argv[1], "w", encoding="utf-8") as file:
        file.write(sheet.svg(
            "In memory of Bramble",
            "An invented memorial for a granite marker. Groups are depths: letters, wreath, ornament. Millimetres.",
        ))


def put_both(sheet, layer, shape, hide=None, **options):
    """Lays a shape and its mirror image."""
    sheet.put(layer, shape, hide=hide, **options)
    sheet.put(layer, shape.mirrored(MIDDLE), hide=hide and hide.mirrored(MIDDLE), **options)


# ---------------------------------------------------------------- words


def line(sheet, group, y, size, text, family="Cinzel", weight=400, spacing=0.0):
    """A centred line of text. Trailing letter spacing is taken back by half its width."""
    sheet.texts[group].append(
        f'<text x="{MIDDLE + spacing / 2:g}" y="{y:g}" font-family="{family}" font-weight="{weight}" '
        f'font-size="{size:g}" letter-spacing="{spacing:g}" text-anchor="middle">{text}</text>')


def inscription(sheet):
    line(sheet, "letters", 104, 15, "IN LOVING MEMORY OF", weight=600, spacing=2.6)
    line(sheet, "letters", 159, 56, "BRAMBLE", weight=600, spacing=3.0)
    line(sheet, "letters", 213, 20, "2009 – 2024", weight=600, spacing=2.4)
    line(sheet, "letters", 241, 16.5, "She knew every gate on the hill,", family="EB Garamond", weight=600, spacing=0.3)
    line(sheet, "letters", 261, 16.5, "and waited at ours.", family="EB Garamond", weight=600, spacing=0.3)
    divider(sheet, 182.5)


def divider(sheet, y):
    """A tapering rule with a paw print at its middle."""
    put_both(sheet, "ornament", stroke([(266, y), (300, y), (338, y)], profile((0, 2.2), (0.5, 1.6), (1, 0.8))))
    put_both(sheet, "ornament", disc(343.5, y, 1.5))
    x, y = MIDDLE, y + 0.8
    pad = blob((x, y + 0.2), (x + 3.4, y + 2.6), (x + 5.2, y + 5.6), (x + 2.6, y + 6.8), (x, y + 6.1),
               (x - 2.6, y + 6.8), (x - 5.2, y + 5.6), (x - 3.4, y + 2.6))
    sheet.put("ornament", pad)
    toe = disc(0, 0, 1.75, 2.5)
    for dx, dy, lean in [(2.2, -3.2, 10), (6.2, -0.2, 28)]:
        put_both(sheet, "ornament", toe.turned(lean).moved(e=x + dx, f=y + dy))


# ---------------------------------------------------------------- wreath


def bow(sheet):
    """A ribbon bow where the two halves of the wreath meet."""
    x, y = MIDDLE, 284
    knot = blob((x - 6, y - 5), (x, y - 6.2), (x + 6, y - 5), (x + 7, y),
                (x + 5.6, y + 5.4), (x, y + 6.6), (x - 5.6, y + 5.4), (x - 7, y))
    crease = stroke([(x - 2.2, y - 4), (x - 1.2, y), (x - 2.0, y + 4)], leaf(1.5, sharp=0.7))
    sheet.put("wreath", knot - crease - crease.mirrored(x), hide=knot)
    loop = outline([(x + 5, y - 1.5), (x + 16, y - 11), (x + 32, y - 14), (x + 40, y - 6)],
                   [(x + 40, y - 6), (x + 36, y + 4), (x + 20, y + 5), (x + 5, y + 1.5)], [(x + 5, y + 1.5), (x + 5, y - 1.5)])
    hole = outline([(x + 12, y - 1.6), (x + 20, y - 5.6), (x + 29, y - 6.8), (x + 33.6, y - 4.2)],
                   [(x + 33.6, y - 4.2), (x + 29, y - 0.6), (x + 20, y + 0.2), (x + 12, y - 1.6)])
    put_both(sheet, "wreath", loop - hole, hide=loop, gap=1.5)
    put_both(sheet, "ornament", hole.grown(-1.4), hide=False, gap=0, least=0)
    tail = outline([(x + 3, y + 4), (x + 12, y + 10), (x + 20, y + 17), (x + 34, y + 17)],
                   [(x + 34, y + 17), (x + 30.4, y + 20.6)], [(x + 30.4, y + 20.6), (x + 33, y + 25.4)],
                   [(x + 33, y + 25.4), (x + 18, y + 25), (x + 8, y + 19), (x - 1, y + 8)], [(x - 1, y + 8), (x + 3, y + 4)])
    put_both(sheet, "wreath", tail, gap=1.5)


# the stem of one half, from the bow round to the top
STEM = [(262, 285), (330, 280), (394, 257), (437, 214), (452, 162), (441, 110), (406, 69), (354, 45), (296, 36)]


def oak(sheet):
    stem = Spine(STEM)
    acorns = (0.415, 0.63, 0.845)
    for t in acorns:
        hang_acorn(sheet, stem, t)
    put_both(sheet, "wreath", stroke(stem, profile((0, 4.4), (0.5, 3.4), (1, 2.2))), gap=1.3, scrap=3)
    tip, way = stem.at(1), stem.along(1)
    seen, whole = oak_leaf([tuple(tip + way * u) for u in (0.8, 11, 22, 33)], 16, lobes=4, vein=1.3)
    put_both(sheet, "wreath", seen, hide=whole, gap=1.3)
    for t in (0.425, 0.495, 0.565, 0.635, 0.705, 0.775, 0.845, 0.915, 0.97):
        oak_on_stem(sheet, stem, t, 1, 44 - 13 * t, 22 - 5 * t, 42)
    for t in (0.495, 0.56, 0.70, 0.765, 0.915, 0.965):
        oak_on_stem(sheet, stem, t, -1, 38 - 10 * t, 18.5 - 3 * t, 33)


def oak_on_stem(sheet, stem, t, side, length, width, degrees):
    base, along = stem.at(t), stem.along(t)
    across = -np.array([along[1], -along[0]]) * side
    turn = math.radians(degrees)
    way = math.cos(turn) * along + math.sin(turn) * across
    bow = 0.06 * length * np.array([across[0], across[1]])
    points = [tuple(base + across * 2.6 + way * (length * u + 1.0) + bow * math.sin(math.pi * u)) for u in (0, 0.35, 0.7, 1)]
    seen, whole = oak_leaf(points, width, lobes=4, vein=1.3)
    put_both(sheet, "wreath", seen, hide=whole, gap=1.4, scrap=5)


def hang_acorn(sheet, stem, t):
    along = stem.along(t)
    inward = np.array([along[1], -along[0]])
    way = inward * 0.80 + along * 0.60
    foot = stem.at(t) + inward * 6 + along * 3
    nut, cup, whole = acorn(*foot, 21, math.degrees(math.atan2(-way[0], way[1])), gap=1.3)
    stalk = stroke([tuple(stem.at(t) - along * 5), tuple(stem.at(t) + inward * 3 - along * 1), tuple(foot)], 2.0, stations=5)
    put_both(sheet, "wreath", nut, hide=False, gap=1.2)
    put_both(sheet, "wreath", cup, hide=whole, gap=1.2)
    put_both(sheet, "wreath", stalk, gap=1.0)


def wheat(sheet):
    """Ears of wheat that rise from the bow inside the oak."""
    for points, grains in [
        ([(266, 279), (318, 272), (364, 252), (400, 219)], 9),
        ([(258, 293), (322, 297), (386, 285), (434, 254)], 10),
    ]:
        ear(sheet, Spine(points), grains)


def ear(sheet, spine, grains):
    start = 0.52
    step = (0.97 - start) / grains
    for k in range(grains):
        t = 0.97 - step * k
        for side in (1, -1):
            grain(sheet, spine, t - (0.5 * step if side == 1 else 0), side, k)
    put_both(sheet, "ornament", stroke([tuple(spine.at(t)) for t in np.linspace(0, 0.93, 6)],
                                       profile((0, 2.2), (1, 1.2))), gap=1.0, scrap=2)


def grain(sheet, spine, t, side, k):
    base, along = spine.at(t), spine.along(t)
    across = np.array([along[1], -along[0]]) * side
    tip = base + along * 10.5 + across * 5.0
    mid = base + along * 5.0 + across * 4.2
    whole = stroke([tuple(base + across * 0.9), tuple(mid), tuple(tip)], leaf(4.6, peak=0.45, sharp=0.75, tip=0.9), stations=8)
    put_both(sheet, "wreath", whole, gap=0.9)
    awn = stroke([tuple(tip), tuple(tip + along * 9 + across * 2.8), tuple(tip + along * 18 + across * 4.4)],
                 profile((0, 1.0), (1, 0.8)), stations=6)
    put_both(sheet, "ornament", awn, gap=0.9, scrap=3)


# ---------------------------------------------------------------- frame


def rounded(inset, radius):
    """A rectangle with its corners scooped out."""
    a, b, c, d, r = inset, inset, WIDTH - inset, HEIGHT - inset, radius
    k = 0.5522847498 * r

    def run(p, q):
        p, q = np.array(p, float), np.array(q, float)
        return [p, p + (q - p) / 3, p + 2 * (q - p) / 3, q]

    def scoop(p, h1, h2, q):
        return [np.array(v, float) for v in (p, h1, h2, q)]

    return Shape.of([
        run((a + r, b), (c - r, b)), scoop((c - r, b), (c - r, b + k), (c - k, b + r), (c, b + r)),
        run((c, b + r), (c, d - r)), scoop((c, d - r), (c - k, d - r), (c - r, d - k), (c - r, d)),
        run((c - r, d), (a + r, d)), scoop((a + r, d), (a + r, d - k), (a + k, d - r), (a, d - r)),
        run((a, d - r), (a, b + r)), scoop((a, b + r), (a + k, b + r), (a + r, b + k), (a + r, b)),
    ])


def frame(sheet):
    """A double line round all, with a small rosette in each corner's scoop."""
    sheet.put("ornament", rounded(0, 17) - rounded(2.4, 17), gap=1.2, least=0)
    sheet.put("ornament", rounded(5.0, 17) - rounded(6.0, 17), gap=1.2, least=0)
    for x in (6.6, WIDTH - 6.6):
        for y in (6.6, HEIGHT - 6.6):
            for k in range(6):
                petal = stroke([(x, y - 1.9), (x, y - 4.0), (x, y - 6.2)], leaf(3.2, peak=0.6, sharp=0.7), stations=6)
                sheet.put("ornament", petal.turned(60 * k, x, y), gap=0.8)
            sheet.put("ornament", disc(x, y, 1.2), gap=0.5)


if __name__ == "__main__":
    main()
