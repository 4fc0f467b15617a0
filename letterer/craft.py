"""The rules of the trade, one named constant each, with its reason and where it comes from.

A house style may change most of these; nothing else in the program holds a bare number of the
trade. Lengths are in *caps* (cap height of the text face), *em* (type size) or points, as named.
Unless a line says otherwise, the rule is common practice, no source.
"""

from __future__ import annotations

# --- Type size, in points on the printed page -------------------------------------------------

SIZE_USUAL = 7.5
"""Dialogue on a printed comic page."""

SIZE_FLOOR = 6.0
"""Below this, capitals are hard to read in print: nothing is shrunk further."""

SIZE_LARGE = 9.0
"""The usual upper end for dialogue that is not shouted."""

SIZE_MOST = 400.0
"""No lettering on a page is larger; a bigger number is a slip of the unit."""

WHISPER_SHARE = 0.85
"""A whisper is set smaller than the usual size."""

SHOUT_SHARE = 1.15
"""A shout is set larger than the usual size."""

SHOUT_SHARE_MOST = 1.3
"""The largest share of the usual size that a shout may take."""

LEADING_EM = 1.05
"""Baseline to baseline for capitals: leaves a gap of about half a cap between lines."""

# --- Words ------------------------------------------------------------------------------------

DASHES = ("\u2014", "\u2013", "--")
"""What a writer may type for an interruption: a true dash, a short one, or two hyphens."""

HANGING_SHARE = 0.5
"""Optical centring: hanging quotes, a trailing dash, dots or comma count for half their width."""

HANGING_MARKS = frozenset(
    "\"'\u2018\u2019\u201a\u201c\u201d\u201e\u00ab\u00bb.,-\u2013\u2014\u2026:;<>\u2039\u203a"
)
"""The light marks that hang at the ends of a line."""

BREATH_BEFORE, BREATH_AFTER = "\ue010", "\ue011"
"""Breath marks: three short strokes to each side of a small sound, drawn by our face of marks."""

TWIN_LETTERS_BEFORE_HYPHEN = 2
"""A hyphen allows a break only with this many letters on each side, so a stammer stays whole."""

WORD_LETTERS_MOST = 200
"""A longer unbroken word is a slip, not lettering."""

UNIT_WORDS_MOST = 300
"""A longer unit is a slip of the script: no page holds such a balloon."""

UNIT_LETTERS_MOST = 6000
"""The same in letters, for scripts without spaces between words."""

# --- Air, border and shape of a balloon -------------------------------------------------------

AIR_CAPS = 0.75
"""Air between ink and border, even all round, sideways and above alike."""

AIR_FLOOR_CAPS = 0.5
"""The least air that does not look cramped."""

BORDER_POINTS = 0.9
"""Border weight: about a stem of the text face at the usual size."""

EXPONENT = 2.4
"""A balloon is fatter than a true ellipse: a superellipse with this exponent."""

EXPONENT_RANGE = (2.3, 2.7)
"""Below, corners of the words crowd the border; above, the oval turns into a box."""

EXPONENT_HELD = 4.0
"""Words that do not fit their box at the smallest size stand in an oval as full as this."""

EXPONENT_STEPS = (0.15, 0.3)
"""Fuller ovals tried where they hold the words in less area."""

ASPECT_RANGE = (1.2, 2.2)
"""Width to height of a balloon."""

ASPECT_USUAL = 1.65
"""The width to height that the eye takes for a balloon, all else being equal."""

ASPECT_ONE_WORD = 2.6
"""What a balloon of one short word may reach."""

HAND_AMPLITUDE_POINTS = 0.16
"""How far a border strays from its true curve, at most: a hand's life, not a wobble."""

HAND_AMPLITUDE_MOST = 0.5
"""Beyond this the line looks nervous."""

HAND_WAVE_POINTS = 26.0
"""Length of the slowest wave in a hand-drawn border, along the line."""

ASPECT_LONG_WORD = 3.2
"""Where a long word is the widest line by itself, a flatter oval beats a huge empty one."""

LONG_WORD_LETTERS = 14
"""Letters from which a word is long in this sense."""

CENTRING_SHARE = 0.02
"""More area that is given to have the air above and below alike."""

ASPECT_FORCED_RANGE = (0.5, 4.0)
"""What a box in the plan may force a balloon to."""

# --- Tails ------------------------------------------------------------------------------------

TAIL_SHARE = 0.55
"""A tail stops short: it ends at this share of the way from the border to the mouth."""

TAIL_SHARE_RANGE = (0.5, 0.6)
"""Shorter tails do not say who speaks; longer ones poke the face."""

TAIL_BASE_CAPS = 1.4
"""Width of a tail where it leaves the balloon."""

TAIL_BASE_RANGE_CAPS = (1.2, 1.6)
"""Narrower looks like a scratch, wider like a horn."""

TAIL_BASE_BALLOON_SHARE = 1 / 3
"""A tail's base is narrower than this share of the balloon's width."""

TAIL_BASE_HEIGHT_SHARE = 0.4
"""Nor wider than this share of its height: a base across the end of a low balloon makes a pear."""

TAIL_BEND_SEVERAL = 0.4
"""Several tails of one balloon bend by this share of what a single one does, or they would meet."""

TAIL_AIM_DEGREES = 5.0
"""The tail's axis, carried on, passes the mouth within this angle."""

TAIL_BEND_SHARE = 0.22
"""How far a tail's root is moved along the border, as a share of the tail's length: one gentle
curve."""

TAIL_SHORTEST_CAPS = 1.2
"""A tail shorter than this is a nick in the border; it is left out and reported."""

TAIL_LONGEST_CAPS = 16.0
"""A longer tail is reported: the eye loses its way."""

TAIL_CORNER_CAPS = 0.5
"""Room between the base of a tail and the corner of a caption."""

TAIL_GAP_CAPS = 0.6
"""Room along the border between the bases of two tails of one balloon."""

# --- Whispers ---------------------------------------------------------------------------------

DASH_POINTS = 3.2
"""Length of a whisper's dash along the border; it is fitted so that a whole number closes
evenly."""

DASH_GAP_SHARE = 0.75
"""The gap after each dash, as a share of the dash."""

# --- Captions ---------------------------------------------------------------------------------

CAPTION_PADDING_CAPS = 0.6
"""Air between the words of a caption and its border."""

CAPTION_GAP_POINTS = 4.0
"""Distance of an inset caption from the panel's border."""

CAPTION_ASPECT_RANGE = (1.5, 5.0)
"""Width to height of a caption of two or more lines."""

CAPTION_ONE_LINE_ASPECT = 9.0
"""A caption of one line may be a long strip."""

CAPTION_PANEL_SHARE = 0.62
"""A caption in a corner leaves at least the rest of the panel's width to the picture."""

BALLOON_PANEL_SHARE = 0.9
"""A balloon wider than this share of its panel leaves no picture beside it."""

# --- Sound effects ----------------------------------------------------------------------------

EFFECT_SIZE_POINTS = 24.0
"""A sound effect for which the plan gives neither size nor box."""

EFFECT_HALO_EM = 0.085
"""The even halo that knocks a sound effect out of the art."""

OPEN_HALO_CAPS = 0.35
"""The even halo behind words that stand without a balloon."""

# --- What a choice of lines costs -------------------------------------------------------------
# One scale for all: a cost of 0.05 says "a letterer would give 5 % more area to avoid this".

COST_LONE_SHORT_WORD = 0.25
"""First or last line of one word under LONE_WORD_LETTERS letters: it dangles."""

LONE_WORD_LETTERS = 4
"""A word of fewer letters looks lost on a line of its own."""

COST_LONE_WORD = 0.03
"""Last line of a single longer word, in a balloon of three lines or more."""

COST_BAD_END = 0.035
"""A line that ends on an article, a one-syllable preposition, or a pronoun of the next word."""

COST_PHRASE_BREAK = -0.012
"""A break after a comma, a full stop or a dash: the line is said in one breath (a gain)."""

COST_INSIDE_WORD = 0.08
"""A break after a hyphen or a slash inside a word: the eye stumbles."""

COST_VALLEY = 0.5
"""For each cap by which a line is narrower than a line above it and a line below: an hourglass."""

COST_VALLEY_MOST = 0.2
"""A deep hourglass costs no more than this: nobody gives half a balloon to be rid of one."""

VALLEY_FREE_CAPS = 0.4
"""A waist this shallow is not seen."""

COST_STAIRCASE = 0.06
"""Three lines or more of which the first or the last is clearly the widest: a staircase."""

STAIR_FREE_CAPS = 1.0
"""Steps smaller than this are not seen."""

COST_COLUMN = 0.02
"""Three lines or more of even width, where a lozenge would do."""

COLUMN_SHARE = 0.05
"""Widths within this share of the widest count as even."""

COST_UNEVEN_AIR = 0.5
"""Mean square of the air left beside the lines, as a share of the balloon's half-width."""

COST_ASPECT = 0.5
"""For each unit by which width to height leaves its range, in its logarithm."""

COST_OFF_USUAL_ASPECT = 0.15
"""Squared distance from the usual width to height, in its logarithm: no ball, no sausage."""

COST_RAGGED = 0.25
"""Mean square of what is left free at the ends of a caption's lines, as a share of its width."""

COST_HOLE = 0.15
"""A middle line of a caption that is one word alone, by the share of the width it leaves free."""

CAPTION_LOOSENESS = (0.0, 0.05, 0.1)
"""How much wider than its narrowest a caption may be, for better breaks."""

COST_FULLER = 0.07
"""For each unit of the exponent beyond the style's own: one page's balloons are of one family."""

COST_TOO_WIDE = 1.0
"""A caption wider than its share of the panel, by the logarithm of the excess."""

COST_HEIGHT = 0.01
"""For each line beyond three: low, wide balloons sit better at the top of a panel."""

# --- Crowding: warnings, never errors ---------------------------------------------------------

WORDS_BALLOON_MOST = 25
WORDS_PANEL_MOST = 50
WORDS_PAGE_MOST = 210

# --- Output -----------------------------------------------------------------------------------

DPI_RANGE = (72, 1200)
"""From a screen preview to the sharpest line-art print."""

DPI_USUAL = 600
"""Lettering is line art: 600 dpi or more."""

RASTER_BYTES_MOST = 4 * 1024**3
"""A page that would need more memory than this is refused with a clear line."""

DPI_PREVIEW = 150
"""A preview is for the screen: sharp enough to read, small enough to send."""

DPI_SHEET = 200
"""A contact sheet is looked at closely."""
