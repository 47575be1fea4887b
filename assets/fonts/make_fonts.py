#!/usr/bin/env python3
"""Cuts the bundled fonts from the full families.

Usage: make_fonts.py SOURCE_DIR OUT_DIR

SOURCE_DIR holds the full TrueType files named in SOURCES. Needs fonttools,
brotli and skia-pathops. Each font is subset to CODE_POINTS, keeps kerning and the features in
FEATURES, and has its figures checked. Fira Sans draws proportional figures by
default; its tabular lining figures are made the default here, so that columns
of numbers align without a style sheet.
"""

import pathlib
import sys

from fontTools import subset
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables._g_l_y_f import Glyph
from fontTools.varLib import instancer

# output stem, source file, weight to instantiate (None: already static)
SOURCES = [
    ("FiraSans-Regular", "FiraSans-Regular.ttf", None),
    ("FiraSans-SemiBold", "FiraSans-SemiBold.ttf", None),
    ("FiraSansCondensed-Regular", "FiraSansCondensed-Regular.ttf", None),
    ("Cinzel-Regular", "Cinzel[wght].ttf", 400),
    ("Cinzel-SemiBold", "Cinzel[wght].ttf", 600),
    ("EBGaramond-Regular", "EBGaramond[wght].ttf", 400),
    ("EBGaramond-SemiBold", "EBGaramond[wght].ttf", 600),
]

CODE_POINTS = (
    list(range(0x0020, 0x0180))  # Latin, Latin-1, Latin Extended-A
    + [0x0192, *range(0x0218, 0x021C), 0x02C6, 0x02C7, *range(0x02D8, 0x02DE)]
    + list(range(0x0300, 0x0329))  # combining marks
    + list(range(0x0370, 0x0400))  # Greek
    + [0x1E9E]
    + list(range(0x2000, 0x2070))  # punctuation and spaces
    + list(range(0x2070, 0x20A0))  # superscripts and subscripts
    + [0x20AC, 0x20B9, 0x2113, 0x2116, 0x2122, 0x2126, 0x212E]
    + list(range(0x2150, 0x2190))  # fractions
    + list(range(0x2190, 0x2200))  # arrows
    + list(range(0x2200, 0x2270))  # mathematical operators
    + [0x25A0, 0x25A1, 0x25B2, 0x25B6, 0x25BC, 0x25C6, 0x25CA, 0x25CB, 0x25CF]
    + [0x2713, 0xFB01, 0xFB02]
)

FEATURES = [
    "kern", "mark", "mkmk", "cpsp", "liga", "calt", "ccmp", "locl", "case",
    "tnum", "pnum", "lnum", "onum", "frac", "numr", "dnom", "sups", "subs",
    "sinf", "ordn", "zero", "dlig",
]

# Spaces that the interface sets between a number and its unit, in parts of an em.
SPACES = {0x2009: 1 / 5, 0x202F: 1 / 5, 0x200A: 1 / 10}

DIGITS = "0123456789"


def add_missing_spaces(font):
    """Adds the thin and hair spaces, and a figure space as wide as a digit."""
    cmap = font.getBestCmap()
    em = font["head"].unitsPerEm
    widths = {code: round(em * part) for code, part in SPACES.items()}
    widths[0x2007] = font["hmtx"][cmap[ord("0")]][0]
    order = font.getGlyphOrder()
    for code, width in widths.items():
        if code in cmap:
            continue
        name = f"uni{code:04X}"
        order.append(name)
        font.setGlyphOrder(order)
        font["glyf"].glyphs[name] = Glyph()
        font["hmtx"].metrics[name] = (width, 0)
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[code] = name


def single_substitutions(font, tag):
    """The one-to-one glyph changes of a GSUB feature."""
    table = font["GSUB"].table
    changes = {}
    for record in table.FeatureList.FeatureRecord:
        if record.FeatureTag != tag:
            continue
        for index in record.Feature.LookupListIndex:
            for sub in table.LookupList.Lookup[index].SubTable:
                sub = getattr(sub, "ExtSubTable", sub)
                changes.update(getattr(sub, "mapping", {}))
    return changes


def make_tabular(font):
    """Points the cmap at the tabular figures; says whether it had to."""
    if len(digit_widths(font)) == 1:
        return False
    changes = single_substitutions(font, "tnum")
    for table in font["cmap"].tables:
        for code, name in list(table.cmap.items()):
            table.cmap[code] = changes.get(name, name)
    return True


def digit_widths(font):
    """The set of advance widths that the ten default digits have."""
    cmap = font.getBestCmap()
    return {font["hmtx"][cmap[ord(digit)]][0] for digit in DIGITS}


def cut(font):
    """Subsets in place."""
    options = subset.Options()
    options.layout_features = FEATURES
    options.name_IDs = ["*"]
    options.notdef_outline = True
    options.hinting = False
    options.glyph_names = False
    worker = subset.Subsetter(options)
    worker.populate(unicodes=CODE_POINTS)
    worker.subset(font)


def name_weight(font, stem, weight):
    """Names an instance of a variable font after its weight."""
    names = font["name"]
    family = names.getDebugName(1)
    style = stem.split("-")[1]
    regular = style == "Regular"
    texts = {
        1: family if regular else f"{family} {style}",
        2: "Regular",
        3: f"{names.getDebugName(5)};{stem}",
        4: f"{family} {style}",
        6: stem,
        16: None if regular else family,
        17: None if regular else style,
    }
    for name_id, text in texts.items():
        if text is None:
            names.removeNames(nameID=name_id)
        else:
            names.setName(text, name_id, 3, 1, 0x409)
    names.removeNames(nameID=25)
    if "STAT" in font:
        del font["STAT"]
    font["OS/2"].usWeightClass = weight


def make(source, out, stem, weight):
    """Makes one TTF, and a WOFF2 where the page needs it."""
    font = TTFont(source, recalcTimestamp=False)
    if weight is not None:
        instancer.instantiateVariableFont(
            font, {"wght": weight}, inplace=True, overlap=instancer.OverlapMode.REMOVE
        )
        name_weight(font, stem, weight)
    interface = stem.startswith("Fira")
    if interface:
        make_tabular(font)
        add_missing_spaces(font)
    cut(font)
    if interface and len(digit_widths(font)) != 1:
        raise SystemExit(f"{stem}: the digits have more than one width")
    font.save(out / f"{stem}.ttf")
    if interface:
        font.flavor = "woff2"
        font.save(out / f"{stem}.woff2")


def main():
    source, out = (pathlib.Path(argument) for argument in sys.argv[1:3])
    for stem, name, weight in SOURCES:
        make(source / name, out, stem, weight)


if __name__ == "__main__":
    main()
