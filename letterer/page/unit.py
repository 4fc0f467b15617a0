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
from letterer.fit.measure import MeasuredWords
from letterer.fit.oval import Oval
from letterer.geometry import Box, Point
from letterer.ink.borders import border_of
from letterer.model.plan import Fill, Layout, PagePlan, PanelPlan, Placement
from letterer.model.script import Manner, Run, Unit
from letterer.page.lettered import Finding, Severity
from letterer.page.manner import Setting
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


@dataclass(frozen=True, slots=True)
class SetUnit:
    """A unit whose words are set: its lines in their shape, and where its middle stands.

    `cap` is the cap height in points at the size it is set in.
    """

    job: Job
    candidate: Candidate
    cap: float
    place: Point
    findings: tuple[Finding, ...] = ()

    @property
    def shape(self) -> Oval | Box:
        """The shape around the words, on the page."""
        return self.candidate.shape.shifted(self.place.x, self.place.y)

    @property
    def ink(self) -> Box:
        """The box of the words' ink, on the page."""
        return self.candidate.ink.shifted(self.place.x, self.place.y)


def set_unit(job: Job) -> SetUnit:
    """One unit's words, set and put in their place. Raises LettererError."""
    words = measured(job)
    wishes, findings = _wishes(job, words)
    candidate = _chosen(job, words, wishes)
    cap = words.cap * candidate.size
    frame = _frame(candidate).grown(_reach(job))
    place = anchored(job.placement.spot, frame, job.panel, job.layout)
    findings += _fit_findings(job, candidate, wishes)
    return SetUnit(job, candidate, cap, place, tuple(findings))


def _reach(job: Job) -> float:
    """How far the border of the unit's kind goes beyond the shape around its words, in points."""
    return border_of(job.setting.kind).reach(job.setting.size)


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
    reach = 2 * _reach(job)
    room = None
    if isinstance(spot, Fill):
        room = (max(spot.box.width - reach, 1.0), max(spot.box.height - reach, 1.0))
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


def _fit_findings(job: Job, candidate: Candidate, wishes: Wishes) -> list[Finding]:
    """What shrank, and what does not fit."""
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
    return found
