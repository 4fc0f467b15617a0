"""Every kind of balloon on a page: its words, its air, its box, what stands beside its words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest
import shapely

from letterer import craft
from letterer.fit.measure import MeasuredWords
from letterer.geometry import Box, Path, Point, rectangle
from letterer.ink.borders import BORDERS, border_of
from letterer.ink.tail import aim_error
from letterer.model.look import TEXT_FACE
from letterer.model.plan import Center, Fill, Layout, Placement
from letterer.model.script import Manner, Run, Unit
from letterer.out.svg import svg_page
from letterer.page.lettered import LetteredPage, PlacedUnit, Severity
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import Habits, dress

Units = Callable[..., Unit]
Layouts = Callable[..., Layout]
Lettered = Callable[[Sequence[Unit], Layout], LetteredPage]

KINDS = tuple(BORDERS)
MIDDLE, MOUTH = Center(Point(230, 180)), Point(250, 380)
WORDS = {
    1: "No!",
    3: "Where is it?",
    12: "Somebody wound the clock while we were asleep, and it wasn't me.",
    30: "For sixty years the lamp had turned all night, every night, and in all that time nobody"
    " once thought to ask who it was that turned it, or why it should ever stop.",
}


@pytest.fixture(scope="module")
def drawn(unit: Units, layout: Layouts, lettered: Lettered) -> Callable[..., PlacedUnit]:
    """A function: one unit of a kind, alone on a page."""

    def make(
        kind: str,
        words: str,
        spot: Center | Fill = MIDDLE,
        mouth: Point | None = MOUTH,
        size: float | None = None,
        **style: object,
    ) -> PlacedUnit:
        manners = [Manner(kind)] if kind != "speech" else []
        tails = (mouth,) if mouth else ()
        plan = layout([Placement("1.1.1", spot, tails=tails, size=size)], **style)
        page = lettered([unit(1, words, manners=manners)], plan)
        assert not [item for item in page.findings if item.severity is Severity.PROBLEM]
        return page.units[0]

    return make


def polygon(path: Path) -> shapely.Polygon:
    rings = path.flattened(0.005)
    assert len(rings) == 1
    found = shapely.Polygon(rings[0])
    assert found.is_valid, shapely.is_valid_reason(found)
    return found


def ink_of(found: PlacedUnit) -> shapely.MultiPoint:
    """Points on the words' outlines."""
    return shapely.MultiPoint(
        [point for line in found.lines for ring in line.flattened(0.05) for point in ring]
    )


@pytest.fixture(scope="module")
def cap_em(faces: FaceLibrary) -> float:
    """Cap height of the text face in em: the height of an H."""
    text = dress((Run("H"),), "en", Habits(True, False, False))
    return MeasuredWords(Shaper(text, Lettering((TEXT_FACE,)), faces, "1.1.1")).cap


@pytest.mark.parametrize("count", WORDS)
@pytest.mark.parametrize("kind", KINDS)
def test_no_border_pierces_the_air_of_the_words(
    kind: str, count: int, drawn: Callable[..., PlacedUnit], cap_em: float
) -> None:
    found = drawn(kind, WORDS[count])
    cap = cap_em * found.size
    assert found.kind == kind and found.outline and found.stroke
    shape = polygon(found.outline)
    air = craft.AIR_CAPS * border_of(kind).air * cap
    line = shape.exterior
    ink = ink_of(found)
    assert shape.contains(ink)
    assert line.distance(ink) - found.stroke.width / 2 >= air - 0.03
    assert air >= craft.AIR_FLOOR_CAPS * cap, "never under the least that looks good"


@pytest.mark.parametrize("size", [4.0, 12.0, 40.0])
@pytest.mark.parametrize("kind", KINDS)
def test_one_contour_with_its_tail_at_every_size(
    kind: str, size: float, drawn: Callable[..., PlacedUnit]
) -> None:
    mouth = Point(250, 180 + 22 * size)
    found = drawn(kind, WORDS[3], size=size, mouth=mouth, smallest_size=min(size, 6.0))
    assert found.outline and polygon(found.outline).area > 0 and found.outline.area() > 0
    (tail,) = found.tails
    assert aim_error(tail) <= craft.TAIL_AIM_DEGREES


@pytest.mark.parametrize("count", [3, 12])
@pytest.mark.parametrize("kind", KINDS)
def test_a_planned_box_holds_the_whole_border(
    kind: str, count: int, drawn: Callable[..., PlacedUnit]
) -> None:
    """A box a little too small for the kind: its words shrink until border and all are in it."""
    free = drawn(kind, WORDS[count], mouth=None)
    asked = 0.85
    box = Box(60, 60, 60 + free.box.width * asked, 60 + free.box.height * asked)
    found = drawn(kind, WORDS[count], Fill(box), mouth=None, smallest_size=3)
    assert found.fits and free.size * asked**2 - 0.5 < found.size < free.size
    for layer in found.layers():
        around = layer.path.box()
        assert around is not None
        # The hand strays by its amplitude, and a tenth of it more where it is drawn through points.
        assert box.grown(1.1 * craft.HAND_AMPLITUDE_POINTS).contains(around), layer.part
    assert found.box.width > 0.75 * box.width or found.box.height > 0.75 * box.height


def test_an_uneven_caption_keeps_its_air_and_its_box(
    unit: Units, layout: Layouts, lettered: Lettered
) -> None:
    words, box = "Three days later, at Crumb Point", Box(60, 60, 175, 88)
    drawn = []
    for frame in ("boxed", "uneven"):
        plan = layout([Placement("1.1.1", Fill(box), kind="caption")], caption_frame=frame)
        drawn.append(lettered([unit(1, words)], plan).units[0])
    boxed, uneven = (found.outline for found in drawn)
    assert boxed and uneven and polygon(uneven).area > 0 and boxed != uneven
    assert drawn[1].fits and box.grown(0.2).contains(drawn[1].box)
    assert isinstance(drawn[1].shape, Box)
    slack = craft.HAND_AMPLITUDE_POINTS + 0.02
    corners = polygon(rectangle(drawn[1].shape.grown(-slack)))
    assert polygon(uneven).contains(corners), "its padding is whole"


def test_open_words_have_a_ground_without_specks(drawn: Callable[..., PlacedUnit]) -> None:
    """Between the words of a line no art shows: halos and ground together have no small holes."""
    found = drawn("open", WORDS[12], mouth=None)
    (ground,) = found.under
    assert found.halo and ground.stroke and ground.fill == found.halo.color
    knocked = [
        shapely.Polygon(ring).buffer(stroke.width / 2)
        for path, stroke in ((ground.path, ground.stroke), *((p, found.halo) for p in found.lines))
        for ring in path.flattened(0.02)
        if len(ring) > 3
    ]
    whole = shapely.unary_union(knocked)
    halos = shapely.unary_union(knocked[len(list(ground.path.contours())) :])
    assert isinstance(whole, shapely.Polygon), "one patch"
    holes = [shapely.Polygon(ring).area for ring in whole.interiors]
    assert sum(holes) < 0.05, "points squared"
    # Past the words' own halos the ground shows only where it rounds off corners of a line.
    assert halos.buffer(0.3 * found.size).contains(whole)


@pytest.mark.parametrize("count", WORDS)
@pytest.mark.parametrize("mouth", [MOUTH, Point(60, 120), Point(420, 60), None])
def test_notes_stand_clear_of_the_words_and_of_the_tail(
    count: int, mouth: Point | None, drawn: Callable[..., PlacedUnit]
) -> None:
    found = drawn("singing", WORDS[count], mouth=mouth)
    parts = {layer.part: layer for layer in found.extras}
    assert set(parts) == {"knockout", "notes"}
    ground, notes = parts["knockout"], parts["notes"]
    assert ground.fill == found.fill and notes.fill == found.color and notes.stroke is None
    assert ground.stroke is not None
    inked = shapely.unary_union([shapely.Polygon(ring) for ring in notes.path.flattened(0.02)])
    shown = len(shapely.get_parts(inked))
    assert shown == (1 if count == 1 else 2) or count == 3, "a short word has one note"
    assert inked.distance(ink_of(found)) >= craft.SONG_NOTE_CLEAR_EM * found.size - 0.05
    assert inked.distance(ink_of(found)) > ground.stroke.width / 2, "the knock-out spares them"
    for tail in found.tails:
        assert inked.distance(shapely.Point(tail.root)) > tail.base / 2
    assert all(found.box.grown(1e-6).contains(box) for box in [notes.path.box()] if box)


def test_a_whisper_has_an_even_rim_of_paper_under_its_dashes(
    drawn: Callable[..., PlacedUnit],
) -> None:
    found = drawn("whisper", WORDS[12])
    first, second, *_ = found.layers()
    assert (first.part, second.part) == ("ground", "outline")
    assert first.path == second.path and first.stroke and second.stroke
    assert first.stroke.color == first.fill == found.fill and first.stroke.dash is None
    beyond = (first.stroke.width - second.stroke.width) / 2
    assert beyond == pytest.approx(craft.WHISPER_HALO_POINTS)
    assert found.shifted(3, 4).under[0].path == first.path.shifted(3, 4)


def test_kinds_have_their_own_size_weight_and_air(drawn: Callable[..., PlacedUnit]) -> None:
    sizes = {kind: drawn(kind, WORDS[12]).size / craft.SIZE_USUAL for kind in KINDS}
    assert sizes.pop("shout") == pytest.approx(craft.SHOUT_SHARE)
    assert sizes.pop("whisper") == pytest.approx(craft.WHISPER_SHARE)
    assert set(sizes.values()) == {1.0}
    speech, broadcast = drawn("speech", WORDS[12]).shape, drawn("broadcast", WORDS[12]).shape
    assert getattr(speech, "n", 0) < getattr(broadcast, "n", 0), "a machine's is squarer"


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_is_drawn_as_it_was_looked_at(
    kind: str,
    unit: Units,
    layout: Layouts,
    lettered: Lettered,
    golden: Callable[[str, bytes], None],
) -> None:
    manners = [Manner(kind)] if kind != "speech" else []
    plan = layout([Placement("1.1.1", MIDDLE, tails=(Point(215, 270),))])
    page = lettered([unit(1, "Who wound it?", manners=manners)], plan)
    golden(f"kinds/{kind}.svg", svg_page(replace(page, findings=())).encode())
