"""One unit from words to lines: dressed, measured, fitted to its shape, and put in its place."""

from __future__ import annotations

import hashlib
import math
from dataclasses import dataclass, replace

from letterer import craft
from letterer.errors import Fault, LettererError
from letterer.fit.balloon import BalloonShape, Wishes, fit_balloon
from letterer.fit.candidates import Candidate
from letterer.fit.caption import CaptionShape, fit_caption
from letterer.fit.effect import fit_effect
from letterer.fit.hyphens import as_kept
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import Oval
from letterer.fit.sizes import largest_fitting
from letterer.geometry import Box, Point
from letterer.ink.borders import Pen, Reach, border_of
from letterer.ink.outline import oval_length
from letterer.model.plan import Fill, Layout, PagePlan, PanelPlan, Placement
from letterer.model.script import Manner, Run, Unit
from letterer.model.style import Style
from letterer.page.butts import Butt, butts_of, settled
from letterer.page.effects import families_of, idle_effect, set_effect
from letterer.page.lettered import Finding, Severity
from letterer.page.manner import Setting, setting_of, style_of
from letterer.page.spots import anchored
from letterer.text.faces import FaceLibrary
from letterer.text.shaping import Lettering, Shaper
from letterer.text.tradition import Habits, dress

LEAST = 1.0
"""No room is narrower than this, in points, however small its panel is."""


@dataclass(frozen=True, slots=True)
class Job:
    """One unit to be set, with all that its setting depends on."""

    unit: Unit
    placement: Placement
    plan: PagePlan
    panel: PanelPlan | None
    layout: Layout
    faces: FaceLibrary
    style: Style
    setting: Setting

    @classmethod
    def of(
        cls, unit: Unit, placement: Placement, plan: PagePlan, layout: Layout, faces: FaceLibrary
    ) -> Job:
        """The job of a unit that a page's plan places, in the style that is its own."""
        style = style_of(unit, layout, plan, placement)
        setting = setting_of(unit, style, placement.kind)
        panel = plan.panel(unit.panel)
        return cls(unit, placement, plan, panel, layout, faces, style, setting)

    @property
    def identity(self) -> str:
        """What the hand's waver is drawn by: the words and their kind. Not the unit's number, nor
        the speaker's name: a speaker who is renamed keeps every border."""
        told = "\x1f".join((self.setting.kind, self.unit.words))
        return hashlib.sha256(told.encode()).hexdigest()

    def finding(self, severity: Severity, kind: str, what: str, mend: str = "") -> Finding:
        """A finding about this unit."""
        return Finding(severity, kind, what, mend, self.plan.number, self.unit.id)


@dataclass(frozen=True, slots=True)
class SetUnit:
    """A unit whose words are set: its lines in their shape, and where its middle stands.

    `cap` is the cap height in points at the size it is set in, `butts` the sides on which it is cut
    flat.
    """

    job: Job
    candidate: Candidate
    cap: float
    place: Point
    findings: tuple[Finding, ...] = ()
    butts: tuple[Butt, ...] = ()

    @property
    def shape(self) -> Oval | Box:
        """The shape around the words, on the page."""
        return self.candidate.shape.shifted(self.place.x, self.place.y)

    @property
    def ink(self) -> Box:
        """The box of the words' ink, on the page."""
        return self.candidate.ink.shifted(self.place.x, self.place.y)

    @property
    def pen(self) -> Pen:
        """What the unit's border is drawn with."""
        style = self.job.style
        return Pen(self.job.identity, self.candidate.size, style.hand, style.border)

    @property
    def line_boxes(self) -> tuple[Box, ...]:
        """The box of each line's ink, on the page."""
        return tuple(line.ink.shifted(*self.place) for line in self.candidate.lines)


def set_unit(job: Job) -> SetUnit:
    """One unit's words, set and put in their place. Raises LettererError."""
    words = measured(job)
    if job.setting.kind == "effect" and job.placement.effect is not None:
        drawn, place, findings = set_effect(job, words, job.placement.effect)
        return SetUnit(job, drawn, words.cap * drawn.size, place, tuple(findings))
    words, wishes, findings = _wishes(job, words)
    candidate = _chosen(job, words, wishes)
    cap = words.cap * candidate.size
    shape = _frame(candidate)
    frame = _reach(job, candidate.size).around(shape)
    place = anchored(job.placement.spot, frame, job.panel, replace(job.layout, style=job.style))
    if isinstance(job.placement.spot, Fill):
        # The border fills the box, so what hangs lower than it stands above moves the words up.
        place = place.shifted(shape.center.x - frame.center.x, shape.center.y - frame.center.y)
    butts = _butts(job)
    if butts:
        place = settled(butts, candidate, butt_air(job, cap), place, job.layout.format.live)
    findings += [*_fit_findings(job, candidate, wishes), *idle_effect(job)]
    return SetUnit(job, candidate, cap, place, tuple(findings), butts)


def _butts(job: Job) -> tuple[Butt, ...]:
    """The sides on which the unit is cut flat: none where it has no border."""
    if not job.setting.has_outline:
        return ()
    return butts_of(job.placement, job.panel, job.layout.format, job.style)


def butt_air(job: Job, cap: float) -> float | None:
    """What a balloon's words keep from a line on which it is cut; a caption has its frame."""
    if job.setting.is_caption:
        return None
    return job.style.air * border_of(job.setting.kind).air * cap + job.style.border / 2


def _reach(job: Job, size: float, round_em: float = math.inf) -> Reach:
    """How far the border of the unit's kind goes beyond the shape around its words, at a size."""
    setting = job.setting
    if setting.is_caption:
        uneven = job.style.caption_frame == "uneven"
        most = craft.CAPTION_UNEVEN_POINTS * (1 + craft.CAPTION_BOW_SHARE) if uneven else 0.0
        return Reach(most, most, most)
    return border_of(setting.kind).reach(size, round_em)


def _room(job: Job, size: float, round_em: float = math.inf) -> tuple[float, float] | None:
    """What the planned box leaves for the shape around the words: width and height."""
    spot = job.placement.spot
    if not isinstance(spot, Fill):
        return None
    reach = _reach(job, size, round_em)
    width, height = spot.box.width - 2 * reach.aside, spot.box.height - reach.above - reach.below
    return max(width, 1.0), max(height, 1.0)


def measured(job: Job) -> MeasuredWords:
    """The unit's words, dressed, shaped and measured; slips of the script are faults."""
    style, setting = job.style, job.setting
    letters = len(job.unit.words)
    if letters > craft.UNIT_LETTERS_MOST:
        raise _too_long(job, f"{letters:,} letters")
    habits = Habits(setting.capitals, style.dash == "true", style.dots == "single")
    runs = job.unit.runs
    if Manner.BREATH in job.unit.manners:
        runs = (Run(craft.BREATH_BEFORE), *runs, Run(craft.BREATH_AFTER))
    text = dress(runs, job.layout.language, habits)
    spacing = 0.0 if setting.kind == "effect" else style.spacing  # an effect is drawn, not read
    lettering = Lettering(families_of(job), setting.bold, setting.italic, spacing)
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


def _wishes(job: Job, words: MeasuredWords) -> tuple[MeasuredWords, Wishes, list[Finding]]:
    """What the plan asks; a finding where its line breaks are no longer those of the words.

    The words come back as they are to be set: broken where lines that were kept break them.
    """
    style, placement = job.style, job.placement
    size = placement.size or job.setting.size
    floor = min(style.smallest_size, size)
    kept = as_kept(words, placement.breaks) if placement.breaks else None
    words, breaks = kept or (words, None)
    findings: list[Finding] = []
    if placement.breaks and breaks is None:
        what = "its words are no longer those of its planned lines, so they are broken anew"
        mend = 'Take "breaks" out of its placement, or write the new lines there'
        findings.append(job.finding(Severity.WARNING, "breaks gone", what, mend))
    room = _room(job, size)
    return words, Wishes(size, floor, placement.lines, breaks, placement.aspect, room), findings


def _chosen(job: Job, words: MeasuredWords, wishes: Wishes) -> Candidate:
    """The engine's first choice for this unit."""
    style = job.style
    rim = style.border / 2 + style.hand
    if job.setting.kind == "effect":
        size = job.placement.size or craft.EFFECT_SIZE_POINTS
        return fit_effect(words, size, wishes.room)
    widest = job.panel.box.width if job.panel else job.layout.format.live.width
    if job.setting.is_caption:
        shape = CaptionShape(
            style.caption_padding,
            words.leading(style.leading),
            rim,
            centred=style.caption_lines == "centred",
            from_right=words.shaper.runs_from_right,
            widest=widest * craft.CAPTION_PANEL_SHARE,
        )
        return fit_caption(words, shape, wishes)[0]
    border = border_of(job.setting.kind)
    air, exponent = style.air * border.air, max(style.exponent, border.fullness)
    leading = words.leading(style.leading)
    balloon = BalloonShape(air, leading, rim, exponent, style.aspect)
    if wishes.room is not None and any(_reach(job, wishes.size)):
        return _in_box(job, words, balloon, wishes)
    best = fit_balloon(words, balloon, wishes)[0]
    if wishes.room is not None:
        return best
    widest = max(widest * craft.BALLOON_PANEL_SHARE - 2 * _reach(job, wishes.size).aside, LEAST)
    if _frame(best).width > widest:
        narrow = replace(wishes, room=(widest, math.inf), floor=wishes.size)
        narrower = fit_balloon(words, balloon, narrow)[0]
        return narrower if narrower.fits else best
    return best


def _in_box(job: Job, words: MeasuredWords, balloon: BalloonShape, wishes: Wishes) -> Candidate:
    """The largest size at which the words fit what their border leaves of the planned box.

    A border is in step with the size and grows with the oval, so each size has a room of its own.
    """
    # Asked freely, so that a choice of lines has the same room when it is kept as "breaks".
    asked = replace(wishes, room=None, lines=None, breaks=None, aspect=None)
    free = fit_balloon(words, balloon, asked)[0]
    assert isinstance(free.shape, Oval)
    round_em = oval_length(free.shape) / free.size * craft.BOXED_ROUND_SHARE

    def at(size: float) -> list[Candidate]:
        room = _room(job, size, round_em)
        return fit_balloon(words, balloon, replace(wishes, size=size, floor=size, room=room))

    def fitting(size: float) -> list[Candidate] | None:
        found = at(size)
        return found if found[0].fits else None

    return (largest_fitting(wishes, fitting) or at(wishes.floor))[0]


def _frame(candidate: Candidate) -> Box:
    """The box of a candidate's shape around (0, 0)."""
    return candidate.shape.box if isinstance(candidate.shape, Oval) else candidate.shape


def _fit_findings(job: Job, candidate: Candidate, wishes: Wishes) -> list[Finding]:
    """What shrank, what had to be broken with a hyphen, and what does not fit."""
    found: list[Finding] = []
    kind = job.setting.kind
    if candidate.broken:
        broken = " and ".join(f'"{word}"' for word in candidate.broken)
        verb = "are" if len(candidate.broken) > 1 else "is"
        why = "too long for the box even at the smallest size"
        what = f"{broken} {verb} broken with a hyphen: {why}"
        how = "Make the box wider, or use a shorter word"
        found.append(job.finding(Severity.WARNING, "hyphenated", what, how))
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
    return found
