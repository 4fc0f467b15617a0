"""What is not in the script and yet is told: "Page", "Panel", "Sound", how a line is spoken.

In the languages that are here; other books have these few words in English, marked as such. The
words are those of the trade in each language, from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from letterer.model.script import CaptionKind, Manner


@dataclass(frozen=True, slots=True)
class Labels:
    """The labels of one language. `panels` are one and several; `manners` say how a line is spoken,
    in the order of `Manner`; `captions` what a caption tells, in the order of `CaptionKind` after
    narration. `{}` stands for a page's number."""

    language: str
    page: str
    panels: tuple[str, str]
    caption: str
    sound: str
    silent: str
    in_words: str
    alternative: str
    manners: Mapping[Manner, str]
    captions: Mapping[CaptionKind, str]

    @property
    def panel(self) -> str:
        """What one panel is called, where it is a heading."""
        return self.panels[0][:1].upper() + self.panels[0][1:]


def _labels(language: str, words: str, whole: str, manners: str, captions: str) -> Labels:
    page, one, several, caption, sound = words.split(", ")
    silent, in_words, alternative = whole.split(" | ")
    return Labels(
        language,
        page,
        (one, several),
        caption,
        sound,
        silent,
        in_words,
        alternative,
        dict(zip(Manner, manners.split(", "), strict=True)),
        dict(zip(list(CaptionKind)[1:], captions.split(", "), strict=True)),
    )


ENGLISH = _labels(
    "en",
    "Page, panel, panels, Caption, Sound",
    "No words. | Page {} in words | Alternative text of page {}",
    "whisper, shout, thought, broadcast, weak, cold, singing, off, open, breath",
    "thought, place, speech, note",
)

LABELS = {
    labels.language: labels
    for labels in (
        ENGLISH,
        _labels(
            "es",
            "Página, viñeta, viñetas, Cartela, Sonido",
            "Sin palabras. | Página {} en palabras | Texto alternativo de la página {}",
            "susurrando, gritando, pensando, por un aparato, con voz débil, con frialdad, cantando,"
            " fuera de campo, sin globo, sin aliento",
            "pensamiento, lugar, voz, nota",
        ),
        _labels(
            "fr",
            "Page, case, cases, Récitatif, Bruit",
            "Sans paroles. | Page {} en mots | Texte alternatif de la page {}",
            "en chuchotant, en criant, en pensant, par un appareil, d’une voix faible, froidement,"
            " en chantant, hors champ, sans bulle, dans un souffle",
            "pensée, lieu, voix, note",
        ),
        _labels(
            "de",
            "Seite, Panel, Panels, Blocktext, Geräusch",
            "Ohne Worte. | Seite {} in Worten | Alternativtext der Seite {}",
            "flüsternd, rufend, in Gedanken, aus einem Gerät, mit schwacher Stimme, kalt, singend,"
            " aus dem Off, ohne Sprechblase, außer Atem",
            "Gedanke, Ort, Stimme, Anmerkung",
        ),
        _labels(
            "it",
            "Pagina, vignetta, vignette, Didascalia, Suono",
            "Senza parole. | Pagina {} in parole | Testo alternativo della pagina {}",
            "sussurrando, gridando, pensando, da un apparecchio, con voce debole, freddamente,"
            " cantando, fuori campo, senza nuvoletta, senza fiato",
            "pensiero, luogo, voce, nota",
        ),
        _labels(
            "pt",
            "Página, quadro, quadros, Legenda, Som",
            "Sem palavras. | Página {} em palavras | Texto alternativo da página {}",
            "sussurrando, gritando, pensando, por um aparelho, com voz fraca, friamente, cantando,"
            " fora de campo, sem balão, sem fôlego",
            "pensamento, lugar, voz, nota",
        ),
        _labels(
            "nl",
            "Pagina, plaatje, plaatjes, Bijschrift, Geluid",
            "Zonder woorden. | Pagina {} in woorden | Alternatieve tekst van pagina {}",
            "fluisterend, roepend, in gedachten, uit een apparaat, met zwakke stem, koel, zingend,"
            " buiten beeld, zonder ballon, buiten adem",
            "gedachte, plaats, stem, noot",
        ),
    )
}


def labels_of(language: str) -> Labels:
    """The labels of a language (BCP 47); English ones where there are none.

    >>> labels_of("pt-BR").page, labels_of("tr").page
    ('Página', 'Page')
    """
    return LABELS.get(language.split("-")[0].lower(), ENGLISH)
