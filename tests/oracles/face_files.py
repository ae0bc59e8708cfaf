#!/usr/bin/env python3
"""The face of all outputs, `site/fonts`, and the widths of its letters, `src/emit/face/advances.rs`, are cut by fontTools from the
Noto Sans of the crate `notosans`, whose version Cargo.lock pins. This check cuts them anew and compares every glyph, every width and
every code; and it reads our own words (templates, styles, scripts, the compiler's) for a sign that the face does not have.

    python3 tests/oracles/face_files.py --write    writes the files

What is cut away: letters that no word of ours and no language written in Latin letters needs, hinting, and every table that moves
letters (kerning, ligatures, marks): the width of a text is the sum of its advances, in a browser as in the compiler.
What is added: a few signs of a workshop's form that Noto Sans lacks, drawn here as polygons."""
import io
import json
import pathlib
import re
import subprocess
import sys

from fontTools import subset
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont, newTable
from fontTools.ttLib.tables._g_l_y_f import Glyph

FAMILY = "Fitwright Sans"
FONTS = pathlib.Path("site/fonts")
ADVANCES = pathlib.Path("src/emit/face/advances.rs")
FILES = {"Regular": "regular", "Bold": "bold", "Italic": "italic", "BoldItalic": "bold-italic"}

span = lambda first, last: set(range(first, last + 1))
# Letters of the languages written in Latin letters, as far as ISO 8859-1 to 8859-4 and 8859-9 have them; punctuation; signs.
LATIN = span(0x20, 0x7E) | span(0xA0, 0x17F) | {0x218, 0x219, 0x21A, 0x21B, 0x1E9E}
PUNCTUATION = span(0x2002, 0x200B) | span(0x2010, 0x2015) | span(0x2018, 0x201E) | {0x2020, 0x2021, 0x2022, 0x2026, 0x202F, 0x2030, 0x2032, 0x2033, 0x2039, 0x203A, 0x2044}
SIGNS = span(0x2070, 0x2079) | span(0x2153, 0x215E) | span(0x2190, 0x2195) | {0x2C6, 0x2DA, 0x2DC, 0x20AC, 0x2113, 0x2116, 0x2122, 0x2126, 0x2202, 0x2206, 0x2211, 0x2212, 0x2215, 0x2219, 0x221A, 0x221E, 0x2248, 0x2260, 0x2264, 0x2265, 0x25A0, 0x25A1, 0x25AA, 0x25B2, 0x25BC, 0x25CB, 0x25CF}
GREEK = span(0x384, 0x3CE)
UPRIGHT = LATIN | PUNCTUATION | SIGNS | GREEK
# Slanted letters are for a word of the writer here and there, and for the word NOTICE.
SLANTED = LATIN | PUNCTUATION | {0x2212, 0x2264, 0x2265, 0x3A9, 0x3BC, 0x2126}

# Signs of our own, in thousandths of the em, as closed polygons; a second contour that runs the other way is a hole.
DRAWN = {
    "✓": (700, [[(60, 330), (140, 410), (270, 270), (560, 660), (650, 595), (280, 95)]]),
    "✗": (660, [[(70, 100), (270, 350), (90, 600), (170, 660), (330, 435), (490, 660), (570, 600), (390, 350), (590, 100), (510, 40), (330, 265), (150, 40)]]),
    "✕": (660, [[(70, 130), (290, 350), (70, 570), (130, 630), (350, 410), (570, 630), (630, 570), (410, 350), (630, 130), (570, 70), (350, 290), (130, 70)]]),
    "⌫": (900, [[(40, 350), (290, 640), (850, 640), (850, 60), (290, 60)], [(135, 350), (322, 132), (778, 132), (778, 568), (322, 568)],
               [(420, 230), (370, 280), (440, 350), (370, 420), (420, 470), (490, 400), (560, 470), (610, 420), (540, 350), (610, 280), (560, 230), (490, 300)]]),
    "␣": (660, [[(60, 180), (130, 180), (130, 30), (530, 30), (530, 180), (600, 180), (600, -40), (60, -40)]]),
    "⌀": (780, [[(390 + x, 350 + y) for x, y in [(0, 300), (115, 277), (212, 212), (277, 115), (300, 0), (277, -115), (212, -212), (115, -277), (0, -300), (-115, -277), (-212, -212), (-277, -115), (-300, 0), (-277, 115), (-212, 212), (-115, 277)]],
               [(390 + x, 350 + y) for x, y in [(0, 235), (-90, 217), (-166, 166), (-217, 90), (-235, 0), (-217, -90), (-166, -166), (-90, -217), (0, -235), (90, -217), (166, -166), (217, -90), (235, 0), (217, 90), (166, 166), (90, 217)]],
               [(40, 30), (700, 710), (742, 670), (82, -10)]]),
    "☐": (760, [[(60, 660), (700, 660), (700, 20), (60, 20)], [(120, 80), (640, 80), (640, 600), (120, 600)]]),
    "⚠": (900, [[(450, 700), (860, 0), (40, 0)], [(450, 570), (153, 66), (747, 66)], [(415, 400), (485, 400), (472, 210), (428, 210)], [(410, 170), (490, 170), (490, 95), (410, 95)]]),
}
# A sign that is another one's shape.
SAME = {0x2010: 0x2D, 0x2011: 0x2D, 0x22C5: 0xB7}


def fonts_of_the_crate():
    said = lambda *command: subprocess.run(command, check=True, capture_output=True, text=True).stdout
    host = re.search(r"^host: (\S+)", said("rustc", "-vV"), re.M)[1]
    metadata = said("cargo", "metadata", "--format-version", "1", "--locked", "--filter-platform", host)
    package = next(one for one in json.loads(metadata)["packages"] if one["name"] == "notosans")
    return pathlib.Path(package["manifest_path"]).parent / "fonts"


def draw(font, bold):
    """Adds the signs of our own. Contours that cross are joined by the filling rule, which counts turns."""
    em = font["head"].unitsPerEm / 1000
    order = font.getGlyphOrder()
    for at, (sign, (width, contours)) in enumerate(sorted(DRAWN.items())):
        pen = TTGlyphPen(None)
        for contour in contours:
            points = [(round(x * em), round(y * em)) for x, y in contour]
            pen.moveTo(points[0])
            for point in points[1:]:
                pen.lineTo(point)
            pen.closePath()
        name = f"sign{at}"
        order = order + [name]
        font.setGlyphOrder(order)
        glyph = pen.glyph()
        font["glyf"][name] = glyph
        glyph.recalcBounds(font["glyf"])
        font["hmtx"][name] = (round(width * em), glyph.xMin)
        for table in font["cmap"].tables:
            if table.isUnicode():
                table.cmap[ord(sign)] = name
    font["maxp"].numGlyphs = len(order)


def cut(source, style):
    font = TTFont(source / f"NotoSans-{style}.ttf", recalcTimestamp=False)
    codes = SLANTED if "Italic" in style else UPRIGHT
    options = subset.Options()
    options.hinting = False
    options.layout_features = []
    options.glyph_names = False
    options.notdef_outline = True
    options.name_IDs = [0, 1, 2, 4, 6, 13, 14]
    options.drop_tables += ["GPOS", "GSUB", "GDEF", "kern", "DSIG", "gasp", "prep", "fpgm", "cvt "]
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=codes)
    cutter.subset(font)
    if "Italic" not in style:
        draw(font, style == "Bold")
    for table in font["cmap"].tables:
        for code, like in SAME.items():
            if table.isUnicode() and like in table.cmap:
                table.cmap[code] = table.cmap[like]
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", style)
    # A changed font goes under another name, and says what it comes from.
    names = {
        0: "Copyright 2012 Google Inc. Cut from Noto Sans, and a few signs added, for the outputs of Fitwright.",
        1: FAMILY, 2: spaced, 4: f"{FAMILY} {spaced}", 6: f"FitwrightSans-{style}",
        13: "SIL Open Font License, Version 1.1. The file that this was cut from says: Licensed under the Apache License, Version 2.0.",
        14: "https://openfontlicense.org",
    }
    font["name"].names = []
    for number, text in names.items():
        font["name"].setName(text, number, 3, 1, 0x409)
    return font


def packed(font):
    out = io.BytesIO()
    font.flavor = "woff2"
    font.save(out)
    return out.getvalue()


def tables(data):
    """Every table as it reads once it is unpacked: another release of the packer may pack it otherwise."""
    font = TTFont(io.BytesIO(data), recalcTimestamp=False)
    out = io.BytesIO()
    font.flavor = None
    font.save(out)
    plain = TTFont(io.BytesIO(out.getvalue()))
    return {tag: plain.reader[tag] for tag in plain.reader.keys() if tag != "head"}


def widths(font):
    return {code: font["hmtx"][name][0] for code, name in font.getBestCmap().items()}


def rust(plain, bold):
    assert plain.keys() == bold.keys(), "the two weights have other letters"
    runs = []
    for code in sorted(plain):
        if not runs or code != runs[-1][-1] + 1:
            runs.append([])
        runs[-1].append(code)
    lines = [
        "//! The advances of the face, as `tests/oracles/face_files.py` reads them from it. Do not edit: it writes this file.",
        "",
        "/// Advances are in parts of the em, this many.",
        f"pub(super) const EM: u16 = {2048};",
        "",
        "/// Characters that follow each other: the first, and the advances of the regular and of the bold weight. In the order of the characters.",
        "#[rustfmt::skip]",
        "pub(super) const RUNS: &[(u32, &[u16], &[u16])] = &[",
    ]
    for run in runs:
        lines.append(f"    (0x{run[0]:04x}, &{[plain[code] for code in run]}, &{[bold[code] for code in run]}),")
    out = []
    for line in lines + ["];", ""]:
        while len(line) > 118 and ", " in line[8:] and line.startswith(" "):
            at = line.rfind(", ", 8, 118)
            out.append(line[: at + 1])
            line = "     " + line[at + 2 :]
        out.append(line)
    return "\n".join(out)


def our_words():
    """Every sign beyond ASCII in what we write ourselves and what may come out on a page, with its place. Tests in the source hold
    hostile text; they are left out."""
    for folder in OURS:
        for file in pathlib.Path(folder).rglob("*"):
            if file.suffix in {".html", ".css", ".js", ".rs", ".fitw"} and file != ADVANCES and "faulty" not in file.parts:
                yield from signs_of(file)


def signs_of(file):
    text = file.read_text(encoding="utf8").split("#[cfg(test)]")[0]
    # Signs written as escapes count too.
    text = re.sub(r"\\u\{([0-9a-f]{2,6})\}|\\u([0-9a-f]{4})", lambda m: chr(int(m[1] or m[2], 16)), text)
    for number, line in enumerate(text.splitlines(), 1):
        if line.lstrip().startswith(("//", "*")):
            continue
        for sign in set(line):
            if ord(sign) > 0x7E:
                yield sign, f"{file}:{number}"


# Where words stand that come out on a page.
OURS = ["site", "shared/std", "procedures", *(f"src/{module}" for module in ["emit", "record", "working", "quantity", "trade", "tailor", "model"])]
# What stands in our source to be recognised in somebody's text, never to be printed.
NEVER_PRINTED = set("＝＋－＠℃℉") | {chr(c) for c in (0x85, 0x202A, 0x202E, 0x2028, 0x2029, 0x2066, 0x2069, 0xFEFF, 0xFFFD, 0xFFFF)}


def main():
    write = "--write" in sys.argv
    source = fonts_of_the_crate()
    faces = {style: packed(cut(source, style)) for style in FILES}
    read = {style: widths(TTFont(io.BytesIO(data))) for style, data in faces.items()}
    table = rust(read["Regular"], read["Bold"])
    if write:
        for style, name in FILES.items():
            (FONTS / f"{name}.woff2").write_bytes(faces[style])
        ADVANCES.write_text(table, encoding="utf8")
    faults = []
    for style, name in FILES.items():
        kept = (FONTS / f"{name}.woff2").read_bytes()
        if tables(kept) != tables(faces[style]):
            faults.append(f"{name}.woff2 is not what is cut from Noto Sans")
        print(f"{name}: {len(read[style])} characters, {len(kept)} bytes, {-(-len(kept) // 3) * 4} in a page")
        if -(-len(kept) // 3) * 4 > 35_000:
            faults.append(f"{name}.woff2 makes a page longer by more than 35 kB")
        moving = {"GPOS", "GSUB", "kern"} & set(TTFont(io.BytesIO(kept)).keys())
        if moving:
            faults.append(f"{name}.woff2 moves letters: {moving}")
    if ADVANCES.read_text(encoding="utf8") != table:
        faults.append(f"{ADVANCES} has other widths than the face")
    if "Permission is hereby granted" not in (FONTS / "OFL.txt").read_text():
        faults.append("the text of the font's licence is missing")
    words = list(our_words())
    for sign, place in words:
        if ord(sign) not in read["Regular"] and sign not in NEVER_PRINTED:
            faults.append(f"{place}: the face has no {sign!r} (U+{ord(sign):04X})")
    if len({sign for sign, _ in words}) < 12:
        faults.append("our own words were not found")
    for fault in faults:
        print(fault)
    print(f"{len(faults)} faults; run it with --write to make the files anew" if faults else "0 faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main())
