"""Seeds for the fuzzing: real files of every kind, small ones of each idea.

Run from the root: python3 fuzz/seeds.py (needs tests/oracles/requirements.txt and pillow)

SVG and templates: the examples and every drawing in the tests; DXF: what ezdxf writes of every entity and release;
pictures: a drawing painted by pillow in every format and depth; tables and pieces: the examples' and variations.
"""

import io
import re
import sys
from pathlib import Path

import ezdxf
from PIL import Image, ImageDraw

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT / "tests/oracles"))
from artwork_dxf import CASES, RELEASES  # noqa: E402

CORPUS = ROOT / "fuzz/corpus"
HEAD = "<svg xmlns='http://www.w3.org/2000/svg' width='60mm' height='50mm' viewBox='0 0 60 50'>"


def put(target, name, data):
    folder = CORPUS / target
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_bytes(data if isinstance(data, bytes) else data.encode())


def literals(source):
    """String literals of a Rust file, unescaped."""
    text = source.read_text()
    for raw in re.findall(r'"((?:[^"\\]|\\.)*)"', text, re.S):
        yield re.sub(r"\\\n\s*", "", raw).replace("\\n", "\n").replace('\\"', '"')
    yield from re.findall(r'r#+"(.*?)"#', text, re.S)


def svg():
    for path in ROOT.glob("examples/*/*.svg"):
        put("svg", path.name, path.read_bytes())
    put("svg", "crowded.svg", (ROOT / "crates/artwork/tests/expected/crowded.svg").read_bytes())
    count = 0
    sources = [*ROOT.glob("crates/artwork/tests/*.rs"), *ROOT.glob("crates/artwork/src/**/*.rs")]
    for source in sources:
        for text in literals(source):
            if "<" in text and ("/>" in text or "</" in text) and len(text) > 20:
                whole = text if "<svg" in text and "</svg>" in text else f"{HEAD}{text}</svg>"
                put("svg", f"test-{count}.svg", whole)
                count += 1


def dxf():
    for draw, first in CASES:
        for release in RELEASES[RELEASES.index(first)::3]:
            doc = ezdxf.new(release, units=4)
            draw(doc.modelspace())
            out = io.StringIO()
            doc.write(out)
            put("dxf", f"{draw.__name__}-{release}.dxf", out.getvalue())
            if release in ("R12", "R2000"):
                put("dxf", f"{draw.__name__}-{release}-small.dxf", entities_only(out.getvalue()))
    for source in ROOT.glob("crates/artwork/**/*.rs"):
        for i, text in enumerate(literals(source)):
            if "SECTION" in text and "ENTITIES" in text:
                put("dxf", f"{source.stem}-{i}.dxf", text)


def entities_only(text):
    """Only the sections that are read."""
    sections = re.findall(r"  0\nSECTION\n  2\n(?:BLOCKS|ENTITIES)\n.*?  0\nENDSEC\n", text, re.S)
    return "".join(sections) + "  0\nEOF\n"


def picture(size=(96, 72), turn=0):
    image = Image.new("L", (size[0] * 4, size[1] * 4), 235)
    draw = ImageDraw.Draw(image)
    draw.ellipse((40, 40, 180, 190), fill=20)
    draw.ellipse((80, 80, 130, 140), fill=235)
    draw.polygon([(220, 40), (350, 60), (250, 200)], fill=40)
    draw.rectangle((60, 220, 330, 240), fill=10)
    draw.point([(5, 5), (300, 270)], fill=0)
    return image.rotate(turn, fillcolor=235).resize(size, Image.LANCZOS)


def photo():
    def saved(name, image, kind, **options):
        out = io.BytesIO()
        image.save(out, kind, **options)
        put("photo", name, out.getvalue())

    grey = picture()
    colour = Image.merge("RGB", (grey, grey.point(lambda v: 255 - v // 2), grey))
    clear = Image.merge("RGBA", (*colour.split(), grey.point(lambda v: 255 if v < 128 else 40)))
    saved("grey.png", grey, "PNG", dpi=(300, 300))
    saved("turned.png", picture((160, 120), 3), "PNG")
    saved("colour.png", colour, "PNG")
    saved("clear.png", clear, "PNG", dpi=(150, 150))
    saved("palette.png", colour.quantize(8), "PNG")
    saved("bits.png", grey.convert("1"), "PNG")
    saved("deep.png", grey.convert("I;16"), "PNG")
    exif = Image.Exif()
    exif[0x0112], exif[0x011A], exif[0x0128] = 6, 200.0, 2
    saved("grey.jpg", grey, "JPEG", dpi=(200, 200))
    saved("colour.jpg", colour, "JPEG", exif=exif, progressive=True)
    saved("cmyk.jpg", colour.convert("CMYK"), "JPEG")
    for compression in ("raw", "tiff_lzw", "tiff_adobe_deflate", "packbits", "jpeg"):
        saved(f"{compression}.tif", colour if compression == "jpeg" else grey, "TIFF", compression=compression, dpi=(300, 300))
    for compression in ("group3", "group4"):
        saved(f"{compression}.tif", grey.convert("1"), "TIFF", compression=compression)
    saved("deep.tif", grey.convert("I;16"), "TIFF")
    saved("float.tif", grey.convert("F"), "TIFF")
    saved("lossy.webp", colour, "WEBP")
    saved("lossless.webp", clear, "WEBP", lossless=True, exif=exif)


def tables():
    put("names", "comma.csv", 'name,year\nAnn,1998\n"Reed, by ""the"" water",2001\n')
    put("names", "semicolon.csv", "name;year\r\nÉloïse;1\r\n\r\nBo;\r\n")
    put("names", "tab.csv", "\ufeffname\tyear\nΆννα\t2\nעדה\t3\n")
    put("names", "bad.csv", "name,year,town\nA\nB,1,2,3\n\"open\n")
    put("names", "joined.csv", "name,year\nffi fi Te AV ﬁ e\u0301,1\n😀,2\n")
    for i, head in enumerate(("<text id='name' x='3mm' transform='scale(2)'>A</text><text>since {year} <tspan>{name}</tspan></text>",
                              "<text x='40' y='20'>{name}</text>", "<g><text id='year'/></g><text><!-- {name} -->{ name }</text>")):
        put("template", f"{i}.svg", f"{HEAD}{head}</svg>")
    put("template", "crest.svg", (ROOT / "examples/crest/crest.svg").read_text().replace(
        "</svg>", "<text id='name' x='35' y='82'>name</text></svg>"))


def pieces():
    for path in ROOT.glob("examples/**/*.toml"):
        put("piece", f"{path.parent.name}-{path.name}", path.read_bytes())
    count = 0
    for source in ROOT.glob("crates/piece/**/*.rs"):
        for text in literals(source):
            if re.search(r"^\[+[a-z_.]+\]+$", text, re.M):
                put("piece", f"test-{count}.toml", text)
                count += 1


for make in (svg, dxf, photo, tables, pieces):
    make()
print({folder.name: len(list(folder.iterdir())) for folder in sorted(CORPUS.iterdir())})
