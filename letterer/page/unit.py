"""One unit from words to ink: set, put in its place, outlined, tailed, and looked over."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.candidates import Candidate
from letterer.fit.caption import CaptionShape, fit_caption
from letterer.fit.effect import fit_effect
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import Oval
from letterer.geometry import Box, Path, Point, union_box
from letterer.ink.outline import frame_outline, oval_outline
from letterer.ink.ring import Ring
from letterer.ink.tail import Tail, TailStyle, tailed_outline
from letterer.model.plan import Fill, Layout, PagePlan, PanelPlan, Placement
from letterer.model.script import Manner, Role, Run, Unit
from letterer.page.lettered import Finding, PlacedUnit, Severity, Stroke
from letterer.page.manner import DRAWN_WITH_OWN_BORDER, Setting
from letterer.page.spots import anchored
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import Habits, dress


@dataclass(frozen=True, slots=True)
class Job:
    """One unit to be set, with all that its setting depends on."""

    unit: Unit
    placement: Placement
    plan: PagePlan
    panel: PanelPlan | None
    layout: Layout
    faces: FaceLibrary
    setting: Setting

    @property
    def identity(self) -> str:
        """What the hand's waver is drawn by: the words and their kind, not the unit's number."""
        told = "\x1f".join((self.setting.kind, self.unit.speaker, self.unit.words))
        return hashlib.sha256(told.encode()).hexdigest()

    def finding(self, severity: Severity, kind: str, what: str, mend: str = "") -> Finding:
        """A finding about this unit."""
        return Finding(severity, kind, what, mend, self.plan.number, self.unit.id)


def place_unit(job: Job) -> tuple[PlacedUnit, list[Finding]]:
    """One unit from words to ink."""
    words = measured(job)
    wishes, findings = _wishes(job, words)
    candidate = _chosen(job, words, wishes)
    place = anchored(job.placement.spot, _frame(candidate), job.panel, job.layout)
    unit, found = _inked(job, candidate, words.cap * candidate.size, place)
    return unit, findings + found + _fit_findings(job, candidate, wishes)


def measured(job: Job) -> MeasuredWords:
    """The unit's words, dressed, shaped and measured; slips of the script are faults."""
    style, setting = job.layout.style, job.setting
    letters = len(job.unit.words)
    if letters > craft.UNIT_LETTERS_MOST:
        raise _too_long(job, f"{letters:,} letters")
    habits = Habits(setting.capitals, style.dash == "true", style.dots == "single")
    runs = job.unit.runs
    if Manner.BREATH in job.unit.manners:
        runs = (Run(craft.BREATH_BEFORE), *runs, Run(craft.BREATH_AFTER))
    text = dress(runs, job.layout.language, habits)
    lettering = Lettering(setting.families, setting.bold, setting.italic)
    words = MeasuredWords(Shaper(text, lettering, job.faces, job.unit.id))
    if len(words) > craft.UNIT_WORDS_MOST:
        raise _too_long(job, f"{len(words)} words")
    longest = max((words.word(index) for index in range(len(words))), key=len)
    if len(longest) > craft.WORD_LETTERS_MOST:
        what = f'a word of {len(longest)} letters, "{longest[:12]}..."'
        raise LettererError(Fault(what, "Put spaces or hyphens into it", unit=job.unit.id))
    return words


def _too_long(job: Job, what: str) -> LettererError:
    """The error for a unit that no page could hold."""
    mend = f"Split it: {craft.WORDS_BALLOON_MOST} words is the usual most"
    return LettererError(Fault(f"{what} in one balloon or caption", mend, unit=job.unit.id))


def _wishes(job: Job, words: MeasuredWords) -> tuple[Wishes, list[Finding]]:
    """What the plan asks; a finding where its line breaks are no longer those of the words."""
    style, placement = job.layout.style, job.placement
    spot = placement.spot
    room = (spot.box.width, spot.box.height) if isinstance(spot, Fill) else None
    size = placement.size or job.setting.size
    floor = min(style.smallest_size, size)
    breaks = words.breaks_at(placement.breaks) if placement.breaks else None
    findings: list[Finding] = []
    if placement.breaks and breaks is None:
        what = "its words are no longer those of its planned lines, so they are broken anew"
        mend = 'Take "breaks" out of its placement, or write the new lines there'
        findings.append(job.finding(Severity.WARNING, "breaks gone", what, mend))
    return Wishes(size, floor, placement.lines, breaks, placement.aspect, room), findings


def _chosen(job: Job, words: MeasuredWords, wishes: Wishes) -> Candidate:
    """The engine's first choice for this unit."""
    style = job.layout.style
    rim = style.border / 2 + style.hand
    if job.setting.kind == "effect":
        size = job.placement.size or craft.EFFECT_SIZE_POINTS
        return fit_effect(words, size, wishes.room)
    widest = job.panel.box.width if job.panel else job.layout.format.live.width
    if job.setting.is_caption:
        shape = CaptionShape(
            style.caption_padding,
            style.leading,
            rim,
            from_right=words.shaper.runs_from_right,
            widest=widest * craft.CAPTION_PANEL_SHARE,
        )
        return fit_caption(words, shape, wishes)[0]
    balloon = BalloonShape(style.air, style.leading, rim, style.exponent, style.aspect)
    best = fit_balloon(words, balloon, wishes)[0]
    widest *= craft.BALLOON_PANEL_SHARE
    if wishes.room is None and _frame(best).width > widest:
        narrow = replace(wishes, room=(widest, math.inf), floor=wishes.size)
        narrower = fit_balloon(words, balloon, narrow)[0]
        return narrower if narrower.fits else best
    return best


def _frame(candidate: Candidate) -> Box:
    """The box of a candidate's shape around (0, 0)."""
    return candidate.shape.box if isinstance(candidate.shape, Oval) else candidate.shape


def _inked(
    job: Job, candidate: Candidate, cap: float, place: Point
) -> tuple[PlacedUnit, list[Finding]]:
    """Outline, tails and words of a unit whose middle is at `place`."""
    style, setting = job.layout.style, job.setting
    shape = candidate.shape.shifted(place.x, place.y)
    lines = tuple(line.path(place) for line in candidate.lines)
    ink = candidate.ink.shifted(place.x, place.y)
    outline: Path | None = None
    tails: tuple[Tail, ...] = ()
    findings: list[Finding] = []
    if setting.has_outline:
        if isinstance(shape, Oval):
            plain = oval_outline(shape, job.identity, style.hand)
        else:
            plain = frame_outline(shape, job.identity, style.hand)
        tail_style = TailStyle(
            style.tail_base * cap,
            style.tail_share,
            shortest=craft.TAIL_SHORTEST_CAPS * cap,
            corner=craft.TAIL_CORNER_CAPS * cap,
            gap=craft.TAIL_GAP_CAPS * cap,
        )
        mouths, findings = _mouths(job)
        outline, tails, untailed = tailed_outline(plain, shape.center, mouths, tail_style)
        findings += [_untailed(job, left.why) for left in untailed]
        for tail in tails:
            if tail.length > craft.TAIL_LONGEST_CAPS * cap:
                what = f"the tail is {tail.length / 72:.2f} in long"
                mend = "Move the balloon nearer to its speaker"
                findings.append(job.finding(Severity.NOTE, "long tail", what, mend))
    stroke = Stroke(style.border, style.ink, _dash(setting, outline)) if outline else None
    halo_width = 2 * (
        craft.EFFECT_HALO_EM * candidate.size
        if setting.kind == "effect"
        else craft.OPEN_HALO_CAPS * cap
    )
    box = (outline.box() if outline else None) or ink
    return (
        PlacedUnit(
            id=job.unit.id,
            kind=setting.kind,
            words=job.unit.words,
            speaker=job.unit.speaker,
            panel=job.unit.panel,
            size=candidate.size,
            lines=lines,
            breaks=tuple(line.words for line in candidate.lines),
            ink=ink,
            box=union_box((box, ink)) or ink,
            color=style.ink,
            shape=shape,
            outline=outline,
            fill=style.paper if outline else None,
            stroke=stroke,
            halo=None if outline else Stroke(halo_width, style.paper),
            tails=tails,
            costs=candidate.costs,
            overflow=candidate.overflow,
            planned_size=job.placement.size or setting.size,
        ),
        findings,
    )


def _dash(setting: Setting, outline: Path) -> tuple[float, float] | None:
    """A whisper's dashes: a whole number of them all round, so that they close evenly."""
    if not setting.dashed:
        return None
    length = Ring(outline).length
    count = max(3, round(length / (craft.DASH_POINTS * (1 + craft.DASH_GAP_SHARE))))
    period = length / count
    dash = period / (1 + craft.DASH_GAP_SHARE)
    return dash, period - dash


def _mouths(job: Job) -> tuple[Sequence[Point], list[Finding]]:
    """Where the tails of a unit aim; a finding where a speech has no mouth."""
    named = job.placement.tails
    mouth_of = job.panel.mouth if job.panel else lambda _: None
    if named is not None:
        found = [mouth_of(tail) if isinstance(tail, str) else tail for tail in named]
        return [mouth for mouth in found if mouth is not None], []
    if job.unit.role is not Role.SPEECH or job.setting.is_caption:
        return [], []
    mouth = mouth_of(job.unit.speaker)
    if mouth is not None:
        return [mouth], []
    if Manner.OFF in job.unit.manners:
        what = "an off-panel voice has no tail"
        mend = 'Give "tails" a point at the edge of the panel, toward the speaker'
    else:
        what = f"no tail, since the layout has no mouth for {job.unit.speaker} in this panel"
        mend = f'Add "{job.unit.speaker}": [x, y] to the panel\'s "mouths", or "tails" to the unit'
    return [], [job.finding(Severity.WARNING, "no tail", what, mend)]


def _untailed(job: Job, why: str) -> Finding:
    what = {
        "inside": "no tail: the mouth lies inside the balloon",
        "near": "no tail: the mouth is too near the balloon for one",
        "room": "no tail: there is no room for its base on the border",
    }[why]
    return job.finding(Severity.WARNING, "no tail", what, "Move the balloon away from the mouth")


def _fit_findings(job: Job, candidate: Candidate, wishes: Wishes) -> list[Finding]:
    """What shrank, what does not fit, what is drawn with a border that is not its own."""
    found: list[Finding] = []
    kind = job.setting.kind
    if not candidate.fits and wishes.room is not None:
        wide, high = candidate.overflow
        share = wishes.room[0] * wishes.room[1]
        share /= (wishes.room[0] + wide) * (wishes.room[1] + high)
        count = len(job.unit.words.split())
        cut = min(math.ceil(count * (1 - share)), count)
        words = "word" if cut == 1 else "words"
        more = " and ".join(
            f"{amount / 72 * 25.4:.1f} mm more {side}"
            for amount, side in ((wide, "width"), (high, "height"))
            if amount > 0
        )
        what = f"the words do not fit their box at {candidate.size:g} pt, the smallest size"
        found.append(
            job.finding(
                Severity.PROBLEM, "does not fit", what, f"Cut about {cut} {words}, or give {more}"
            )
        )
    elif kind != "effect" and candidate.size < wishes.size - 1e-9:
        what = f"set at {candidate.size:g} pt instead of {wishes.size:g} pt to fit its box"
        found.append(job.finding(Severity.NOTE, "shrunk", what))
    if not job.setting.is_caption and kind not in DRAWN_WITH_OWN_BORDER:
        what = f"the border of a {kind} balloon is not drawn yet; it has the plain oval"
        found.append(job.finding(Severity.NOTE, "plain border", what))
    return found
