"""The words that may stand in brackets beside a cue, and what they mean."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from enum import StrEnum
from typing import TypeVar

from letterer.errors import nearest
from letterer.model.script import CaptionKind, Manner
from letterer.model.script_shapes import fold_name, in_capitals, is_name

Value = TypeVar("Value", bound=StrEnum)

_MANNERS: dict[Manner, str] = {
    Manner.WHISPER: "whispers, whispering, whispered, quiet, quietly, softly, hushed, under breath",
    Manner.SHOUT: "shouts, shouting, shouted, yell, yells, yelling, yelled, scream, screams, "
    "screaming, bellow, bellows, bellowing, roar, roars, roaring, loud, loudly",
    Manner.THOUGHT: "think, thinks, thinking, thoughts, to self",
    Manner.BROADCAST: "radio, phone, telephone, tv, television, machine, robot, computer, "
    "electronic, speaker, loudspeaker, intercom, recording",
    Manner.WEAK: "weakly, frightened, scared, afraid, fearful, trembling, shaking, shaky, faint, "
    "faintly, feeble, wavering",
    Manner.COLD: "coldly, menacing, menace, icy, threatening, sinister, dripping",
    Manner.SINGING: "sing, sings, sung, sang, song",
    Manner.OFF: "off panel, off screen, off stage, offpanel, offscreen, op, o/p, os",
    Manner.OPEN: "no balloon, without balloon, no border, without border, borderless, no outline",
    Manner.BREATH: "breathes, breathing, cough, coughs, coughing, gasp, gasps, gasping, "
    "sigh, sighs, sighing, sniff, sniffs, sniffing, pant, pants, panting, breath marks",
}
_KINDS: dict[CaptionKind, str] = {
    CaptionKind.NARRATION: "narrator, narrative, narrates, narrating",
    CaptionKind.THOUGHT: "thoughts, think, thinks, thinking, inner monologue, monologue",
    CaptionKind.PLACE: "time, place and time, time and place, place & time, "
    "time & place, place/time, time/place, location",
    CaptionKind.SPEECH: "speaks, speaking, spoken, dialogue, voice over, voiceover, vo, off",
    CaptionKind.NOTE: "notes, footnote, editor, editor's note",
}

# That a speech goes on from the panel before is often noted, and changes nothing in the lettering.
_GOING_ON = frozenset(["cont'd", "contd", "cont", "continued", "continuing"])

# How alike two words are, from 0 to 1, for one to be offered in place of the other.
_SURELY_MEANT = 0.7

# "On the radio" and "over the phone" say no more than "radio" and "phone".
_LEADING = re.compile(r"^(?:(?:on|over|from|by|via|through|in|the|an?)\s+)+")
_PARTS = re.compile(r"\s*(?:[,;+&/:\u3001\uff0c\uff1a]|\band\b)\s*", re.IGNORECASE)

# A name may hold an ampersand, or the word "and".
_CAPTION_PARTS = re.compile(r"\s*[,;/:\u3001\uff0c\uff1a]\s*")


def read_manners(brackets: Iterable[str]) -> tuple[tuple[Manner, ...], list[tuple[str, str]]]:
    """The manners named in a cue's brackets, each once, and the faults as (what, mend).

    >>> read_manners(["off-panel, yelling"])[0]
    (<Manner.OFF: 'off'>, <Manner.SHOUT: 'shout'>)
    """
    found: list[Manner] = []
    faults: list[tuple[str, str]] = []
    for part in _split(brackets, _MANNER_OF, _PARTS):
        manner = _MANNER_OF.get(_plain(part))
        if manner is None:
            faults.append(
                (
                    f'"{_short(part)}" is no manner of speaking that is known here',
                    _did_you_mean(part, _MANNER_OF, Manner),
                )
            )
        elif manner not in found:
            found.append(manner)
    return tuple(found), faults


def read_caption(
    brackets: Iterable[str], speakers: Mapping[str, str]
) -> tuple[CaptionKind, str, list[tuple[str, str]]]:
    """The kind and the speaker named in a caption's brackets, and the faults as (what, mend).

    A name of its own makes a caption of speech: `CAPTION (NELL): words`. Only captions of speech
    and of thought take a name. `speakers` is as for `script_shapes.recognise`.

    >>> read_caption(["speech, NELL"], {})
    (<CaptionKind.SPEECH: 'speech'>, 'NELL', [])
    """
    kinds: list[CaptionKind] = []
    names: list[str] = []
    faults: list[tuple[str, str]] = []
    parts = _split(brackets, _KIND_OF, _CAPTION_PARTS)
    for place, part in enumerate(parts):
        kind = _KIND_OF.get(_plain(part))
        # In (speech, EDITOR) the second word is a name, though (EDITOR) alone is a kind.
        behind_kind = place > 0 and not in_capitals(parts[0]) and _plain(parts[0]) in _KIND_OF
        name = speakers.get(fold_name(part), part)
        known = fold_name(part) in speakers
        if kind is not None and not (behind_kind and in_capitals(part)):
            kinds += [kind] if kind not in kinds else []
        elif known or (is_name(part) and (kinds or _plainly_name(part))):
            names.append(name)
        else:
            faults.append(_unknown_kind(part))
    if len(kinds) > 1 or len(names) > 1:
        faults.append(
            (
                "a caption takes one kind and one name",
                "Write it as CAPTION (place) or CAPTION (speech, NAME)",
            )
        )
    kind = kinds[0] if kinds else CaptionKind.SPEECH if names else CaptionKind.NARRATION
    if names and kind not in (CaptionKind.SPEECH, CaptionKind.THOUGHT):
        faults.append(
            (
                f"a caption of the kind {kind} takes no name",
                f"Write it as CAPTION ({kind}) or CAPTION (speech, {names[0]})",
            )
        )
    return kind, names[0] if names else "", faults


def _plainly_name(part: str) -> bool:
    return in_capitals(part) and not _near(part, _KIND_OF)


def _unknown_kind(part: str) -> tuple[str, str]:
    mend = _did_you_mean(part, _KIND_OF, CaptionKind)
    if is_name(part):
        mend += "" if mend.endswith("?") else "."
        mend += f" To name a speaker, write CAPTION (speech, {part.upper()})"
    return f'"{_short(part)}" is no kind of caption that is known here', mend


def is_manner(text: str) -> bool:
    """Whether these words, such as stand in one pair of brackets, are all known manners."""
    parts = _split([text], _MANNER_OF, _PARTS)
    return bool(parts) and all(_plain(part) in _MANNER_OF for part in parts)


def _split(
    brackets: Iterable[str], known: Mapping[str, object], between: re.Pattern[str]
) -> list[str]:
    """The separate entries in brackets; one that is known as a whole, as o/p is, stays whole."""
    parts: list[str] = []
    for bracket in brackets:
        whole = " ".join(bracket.split())
        parts += [whole] if _plain(whole) in known else between.split(whole)
    return [part for part in parts if part and _plain(part) not in _GOING_ON]


def _plain(text: str) -> str:
    """A word as the tables hold it: small letters, no full stops, no hyphens, straight quotes."""
    text = re.sub(r"[-\u2010-\u2015]", " ", text.casefold().replace(".", "")).replace("\u2019", "'")
    return _LEADING.sub("", " ".join(text.split()))


def _table(also: dict[Value, str]) -> dict[str, Value]:
    table: dict[str, Value] = {}
    for value, others in also.items():
        table.update(dict.fromkeys([str(value), *others.split(", ")], value))
    return table


def _did_you_mean(
    part: str, known: Mapping[str, Manner] | Mapping[str, CaptionKind], all_of: Iterable[str]
) -> str:
    near = _near(part, known)
    if near:
        return f'Did you mean "{known[near]}"?'
    *first, last = all_of
    return f"It can be {', '.join(first)} or {last}; anything else goes in a line of direction"


def _near(part: str, known: Iterable[str]) -> str | None:
    """The known word that was surely meant, or None."""
    from difflib import SequenceMatcher  # read where a word is not known, not at every start

    plain = _plain(part)
    near = nearest(plain, known)
    sure = near and SequenceMatcher(None, plain, near).ratio() >= _SURELY_MEANT
    return near if sure else None


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:37].rstrip() + "..."


_MANNER_OF: dict[str, Manner] = _table(_MANNERS)
_KIND_OF: dict[str, CaptionKind] = _table(_KINDS)
