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

OUTER_LETTERS_BEFORE_HYPHEN = 3
"""And with this many where they begin or end the word: TO-DAY and RE-ENTER stay whole, since two
letters at a line's end are read as a word of their own. HA-HA may be broken."""

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

TAIL_CLEAR_CAPS = 0.5
"""The tip keeps this far off the zone of its speaker's face, where the plan gives one."""

TAIL_CLEAR_FACE_SHARE = 0.35
"""And this share of the face's height or width, the lesser: hair and hats stand about a face."""

TAIL_SHARE_BEFORE_FACE = 0.4
"""To stop before the speaker's face a tail may be as short as this share of its way, no shorter."""

TAIL_FACE_CAPS = 2.0
"""The zone that is nearest to a mouth, no farther than this from it, is taken for its face."""

TAIL_EDGE_CAPS = 1.5
"""An off-panel voice whose tail is given a point this near the panel's border runs up to it."""

TAIL_OFF_SLOPES = (0.5, 0.25, 0.8, 1.2, 0.0)
"""How steeply the tail of an off-panel voice falls on its way to the panel's edge: speakers stand
lower than their words. Tried in this order."""

TAIL_OFF_LENGTH_CAPS = (3.0, 12.0)
"""A tail to the panel's edge is sought at least this long, and not much longer than that."""

TAIL_OFF_OTHERS = 1.5
"""What it costs to send that tail to a side on which someone else is seen to speak."""

TAIL_OFF_LATER = 0.04
"""What it costs to take a later one of the slopes."""

TAIL_TURNS = (0, -12, 12, -25, 25, -40, 40, -60, 60, -80, 80)
"""From how many degrees aside a tail may come to its mouth to lead round something."""

TAIL_MOVES = (1.0, 0.0, -1.0, 2.0, -2.0, 3.5, -3.5, 5.5, -5.5)
"""How far its root may move for that, in usual bends; less than 0 is the other side."""

TAIL_TURN_MOST = 100.0
"""A tail that turned by more degrees than this on its way would be a hook."""

TAIL_LEAVES_ACROSS = 0.42
"""A tail that is led round something leaves its border no more aslant than this sine (25
degrees)."""

TAIL_WORDS_CAPS = 0.35
"""Room between a tail and the words of another unit."""

TAIL_MOUTH_CAPS = 2.5
"""A tail keeps this far off the mouths of others."""

TAIL_ZONE_CAPS = 0.3
"""And this far off zones to keep clear."""

TAIL_VIA_LAST = 0.8
"""A tail led round something ends on the last leg of its way, at most this share of it before the
mouth."""

TAIL_TOOTHED = 8
"""A border with more corners than this is a row of teeth or bumps."""

TAIL_TOOTH_BASES = 1.2
"""Teeth narrower than this many bases bear no tail: it takes the place of some. Wider ones do."""

TAIL_WAVE_CAPS = 3.2
"""Length of one wave of a shaky tail."""

TAIL_SWING_CAPS = 0.3
"""How far a shaky tail swings out at most."""

# What it costs a tail to run over something, on a scale of its own: 1 is the bend of a gentle tail
# turned into a sharp one. Words are never crossed where anything else can be.

TAIL_COST_WORDS = 1000.0
TAIL_COST_BALLOON = 120.0
TAIL_COST_TAIL = 60.0
TAIL_COST_ZONE = 30.0
TAIL_COST_MOUTH = 20.0
"""Another speaker's mouth beside a tail: the words would seem to be theirs."""

TAIL_COST_PANEL = 45.0
TAIL_COST_LIKELY_TAIL = 8.0
"""Another tail that is not drawn yet, where it would run by itself: it may give way."""

TAIL_COST_TURN = 1.0
"""For each quarter turn by which a tail comes to its mouth from aside."""

TAIL_COST_MOVE = 0.08
"""For each usual bend by which its root is moved."""

TAIL_COST_PLAINER = 0.05
"""For a tail without its bend."""

BOLT_WIDTH_LENGTH = 0.42
"""A bolt is no wider than this share of its length."""

BOLT_LONG = 4.5
"""From this many widths on a bolt has three strokes, not two."""

BOLT_SHORTEST = 2.3
"""A bolt shorter than this many bases is a plain taper: its strokes would be crumbs."""

BOLT_STROKES = (
    ((0.58, -0.85), (0.54, -0.2)),
    ((0.44, 0.05), (0.4, 0.66)),
)
"""Corners of a bolt's two sides: how far along its axis, and how far off it in widths. All strokes
lean one way, each is narrower than the one before, and the bolt steps back between them."""

BOLT_STROKES_LONG = (
    ((0.4, -0.74), (0.37, -0.14), (0.7, -0.44), (0.68, -0.05)),
    ((0.3, 0.08), (0.27, 0.74), (0.62, 0.1), (0.6, 0.5)),
)
"""The same with three strokes."""

TRAIL_LEAST, TRAIL_MOST = 2, 4
"""Bubbles from a thought to its thinker."""

TRAIL_LARGEST = 0.55
"""Half-width of the largest bubble, as a share of a tail's base."""

TRAIL_SHRINK = 0.72
"""Each bubble is this much smaller than the one before."""

TRAIL_SIZES = (0.42, 1.1)
"""All bubbles of a trail may shrink or grow by this much to fill its length."""

TRAIL_REACH = 0.88
"""Where there is little room a trail may go this far on its way to the mouth, no farther."""

TRAIL_WIDE = 1.15
"""Bubbles are a little wider than high, as balloons are."""

TRAIL_GAP = 0.9
"""Gaps between bubbles, as a share of the smaller one's half-width."""

TRAIL_COST_BEYOND = 2.0
"""How much less a trail is liked whose bubbles go beyond the tip that a tail would have, for each
such length: smaller bubbles are better."""

TRAIL_GAP_CAPS = 0.3
"""Least gap between the border and the first bubble, and between bubbles."""

# --- Whispers ---------------------------------------------------------------------------------

DASH_POINTS = 3.2
"""Length of a whisper's dash along the border; it is fitted so that a whole number fills the way
from corner to corner."""

DASH_GAP_SHARE = 0.75
"""The gap after each dash, as a share of the dash."""

DASHES_LEAST = 8
"""Fewer dashes than this no longer read as one line."""

DASH_TIP_WEIGHTS = 1.7
"""A dashed tail's tip is one dash, out to where its sides stand so many border weights apart: else
the dashes of both sides clot there. Common practice, no source."""

WHISPER_AIR = 1.1
"""A whisper is small in its balloon: a little more air, as a share of the style's."""

WHISPER_HALO_POINTS = 0.6
"""Paper beyond a dashed border on both sides: on dark art the gaps would else look chewed."""

BOXED_ROUND_SHARE = 1.15
"""An oval in a planned box may have a round this much longer than the one it would have freely."""

# --- Shouts: a burst of spikes ----------------------------------------------------------------
# Sizes in em, so that borders grow with the words; rounds are lengths of a border in em.

SHOUT_AIR = 0.8
"""Air as a share of the style's: only the valleys come this near, the rest of a burst is wider."""

SHOUT_PITCH_EM = 1.45
"""From one valley of a burst to the next, for a balloon of the usual size."""

SHOUT_ROUND_USUAL_EM = 24.0
"""The round of a shout of about eight words: there pitch and spikes have their usual sizes."""

SHOUT_GROWTH = 0.4
"""Spikes of larger balloons are longer and wider, but not in step: there are more of them too."""

SHOUT_SPIKES_LEAST = 10
"""A burst with fewer spikes is a star."""

SHOUT_SPIKE_EM = 1.22
"""Length of a long spike in a balloon of the usual size."""

SHOUT_SPIKE_MOST_EM = 1.6
"""No spike is longer than this, but for those that aim at a mouth."""

SHOUT_SHORT = 0.4
"""The shortest spike as a share of the longest: long and short take turns."""

SHOUT_BLUNTEST = 0.5
"""A spike is at least this long for its width, or it would be a bump."""

SHOUT_UNEVEN = 0.28
"""By how much widths of spikes differ by the hand, either way."""

SHOUT_LEAN = 0.16
"""By how much a tip strays sideways by the hand, as a share of the spike's width."""

SHOUT_FANNED = 0.5
"""Spikes stand half square to the border, half away from the balloon's middle: they burst."""

SHOUT_HOLLOW = 0.3
"""How hollow the sides of a spike are, as a pen draws them: 0 is straight, 1 a needle."""

SHOUT_AIMED_BASE = 1.5
"""The spike toward the speaker is this much wider than a tail would be."""

SHOUT_APART = 0.15
"""Other tips keep this share of its width off the spike toward the speaker."""

SHOUT_ASIDE_SHARE = 0.12
"""A spike that aims moves along the border by this share of it, to make room for another."""

SHOUT_OTHERS_SHARE = 0.8
"""No spike is longer than this share of the one toward the speaker."""

# --- Thoughts: a cloud of scallops --------------------------------------------------------------

THOUGHT_AIR = 0.85
"""Air as a share of the style's: only the cusps come this near."""

THOUGHT_PITCH_EM = 1.75
"""From cusp to cusp, for a balloon of the usual size."""

THOUGHT_ROUND_USUAL_EM = 26.0
"""The round of a thought of about ten words."""

THOUGHT_GROWTH = 0.4
"""Bumps of larger clouds are larger, but not in step: there are more of them too."""

THOUGHT_BUMPS_LEAST = 8
"""A cloud of fewer bumps is a flower."""

THOUGHT_BUMP_SHARE = 0.34
"""Height of a bump as a share of its width: a little less than a half circle."""

THOUGHT_BUMP_MOST_EM = 1.0
"""No bump is higher."""

THOUGHT_UNEVEN = 0.22
"""By how much widths of bumps differ by the hand, either way."""

THOUGHT_BUMP_SHARE_MOST = 0.45
"""Where the oval is tight, bumps stand higher to clear it: up to nearly half circles."""

THOUGHT_LEAN = 0.12
"""By how much the top of a bump strays sideways by the hand, as a share of its height."""

# --- Broadcasts: a zigzag -----------------------------------------------------------------------

BROADCAST_EXPONENT = 3.4
"""A machine's balloon is squarer than a person's: a box with its corners off."""

BROADCAST_AIR = 0.9
"""Air as a share of the style's: only the valleys come this near."""

BROADCAST_PITCH_EM = 1.05
"""From one tooth to the next: even, as from a machine."""

BROADCAST_TOOTH_SHARE = 0.48
"""Height of a tooth as a share of its width: about a square corner, never a shout's thin spike."""

BROADCAST_TOOTH_MOST_EM = 0.7
"""Where the oval is tight, teeth stand higher to clear it, up to this."""

BROADCAST_TEETH_LEAST = 16
"""Fewer teeth look like a star."""

BROADCAST_TEETH_MOST = 400

BROADCAST_TAIL_EM = 0.3
"""A tooth that would come this near to a tail beside it is left out."""

BROADCAST_CLEAR = 1.15
"""A stroke rises this much faster than the oval beneath it."""

BROADCAST_LOOSE = 0.04
"""By how much a tooth's tip strays sideways by the hand, as a share of its width."""

# --- Weak, cold and sung voices -------------------------------------------------------------------

WEAK_WAVE_EM = 1.7
"""Length of one wave of a weak voice's border."""

WEAK_HEIGHT_EM = 0.3
"""Height of its waves from trough to crest."""

WEAK_UNEVEN = 0.45
"""By how much lengths and heights of its waves differ by the hand."""

WEAK_WAVES_LEAST = 8

COLD_SMALL_EM = 22.0
"""The drops of a balloon whose round is less than this are shorter."""

COLD_PITCH_EM = 1.15
"""From one drop to the next."""

COLD_ROUND_USUAL_EM = 26.0
"""The round of a cold voice's balloon of about ten words."""

COLD_GROWTH = 0.35
"""Drops of larger balloons stand farther apart, but not in step."""

COLD_DROP_RANGE_EM = (0.45, 1.35)
"""How far the shortest and the longest drop hang."""

COLD_DROP_MOST_EM = 1.5
"""No drop hangs lower beneath the oval."""

COLD_HANGING = 0.5
"""Drops hang where the border faces down at least by this share (the sine of its slope)."""

COLD_ROOM_EM = 0.15
"""Plain border between a tail's root and the first drop beside it."""

COLD_TAIL_EM = 0.25
"""Room between a drop and a tail that passes by."""

COLD_DROP_LEAST_EM = 0.3
"""Where the tail leaves less than this for a drop, there is none."""

COLD_UNEVEN = 0.3
"""By how much the widths of drops differ by the hand, either way."""

COLD_TIP_EM = 0.1
"""Radius of a drop's round tip."""

COLD_TAPER = 0.25
"""How soon a drop is as thin as its tip: 0 at the tip, 1 at the border."""

COLD_ARCH = 0.42
"""How flat the arches between drops are, as a share of a drop's width."""

SONG_WAVE_EM = 2.5
"""Length of one swell of a sung voice's border: slow, against the shake of a weak one."""

SONG_HEIGHT_EM = 0.16
"""Height of its swells."""

SONG_ROUND_USUAL_EM = 26.0
"""Swells of a smaller balloon are lower in step: else a short word sung would seem to shake."""

SONG_UNEVEN = 0.12
"""By how much its swells differ by the hand."""

SONG_WAVES_LEAST = 7

SONG_ONE_NOTE_EM = 18.0
"""A smaller balloon, by its round, has one note only: two would hide it."""

SONG_NOTE_EM = 1.6
"""Height of a note beside the words: clear at print size, where a text's own note is a speck."""

SONG_NOTE_OUT_EM = 0.3
"""How far a note's middle stands outside the oval at least."""

SONG_NOTE_CLEAR_EM = 0.3
"""Room between a note and the words."""

SONG_NOTE_HALO_EM = 0.16
"""The knock-out around a note, which the border leaves free."""

SONG_NOTE_TILT = 10.0
"""Degrees by which a note leans by the hand, either way."""

SONG_NOTE_REACH_EM = 0.9
"""How far notes go beyond the oval at most."""

# --- Captions ---------------------------------------------------------------------------------

CAPTION_PADDING_CAPS = 0.6
"""Air between the words of a caption and its border."""

CAPTION_UNEVEN_POINTS = 1.3
"""How far a corner of a caption drawn without a ruler lies out of true, at most."""

CAPTION_BOW_SHARE = 0.3
"""How far its sides bow, as a share of that."""

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

EFFECT_LEADING_CAPS = 1.15
"""Baseline to baseline of a sound effect of several lines, in cap heights: they nearly touch."""

EFFECT_PATH_CAPS_MOST = 0.3
"""Letters on a path grow with it, to a cap height of this share of its length: a short word on a
long path stands in its middle."""

EFFECT_STRAY_LEAST = 0.45
"""A letter that jumps or tilts does so by this share of the most at least: none looks forgotten."""

EFFECT_SQUEEZE_LEAST = 0.12
"""Letters bent along a line are squeezed on its inner side to no less than this share; beyond, they
are turned or stand upright."""

EFFECT_BAY_CAPS = 0.35
"""Room beside a letter that is deeper than this does not part it from the next any further."""

EFFECT_GAP_LEAST_CAPS = 0.05
"""Letters of a sound effect that are not to overlap stand at least so far apart."""

EFFECT_MIDDLES_SHARE = 0.5
"""However deep a letter fits into its neighbour's bays, their middles stay apart by this share of
their mean width, less the overlap asked for."""

EFFECT_ARM_CAPS = 0.06
"""What stands out from a letter's side by more than this is an arm: of a T, the foot of an L."""

EFFECT_ARM_COVERED = 0.3
"""However far letters are to overlap, no more of an arm than this share is covered: without it, an
L is an I."""

EFFECT_COVERED_MOST = 0.1
"""However far letters are to overlap, their neighbours cover no more of them than this share."""

EFFECT_COUNTER_LEFT = 0.5
"""Where a halo or a line round the words leaves less than this share of a letter's counter open, it
fills it: a sliver of art inside an O looks like dirt."""

EFFECT_POCKET_CAPS = 0.13
"""Art that is shut in between letters and their lines is filled where it is narrower than this
share of a cap on the average: a sliver looks like a slip. Common practice, no source."""

EFFECT_SHADOW_POCKET_CAPS = 0.08
"""The same for what a shadow shuts in, counters too."""

EFFECT_HALO_EM = 0.085
"""The even halo that knocks a sound effect out of the art."""

OPEN_HALO_CAPS = 0.45
"""The even halo behind words that stand without a balloon."""

# --- Words broken with a hyphen ---------------------------------------------------------------

HYPHEN_LETTERS_BEFORE, HYPHEN_LETTERS_AFTER = 2, 3
"""A broken word keeps so many letters before its hyphen and carries so many over, at least."""

OPEN_GROUND_CAPS = 0.15
"""The ground that joins the halos of a line begins this far inside its ink: it fills the specks
between words, and does not show beyond the halos."""

# --- What a choice of lines costs -------------------------------------------------------------
# One scale for all: a cost of 0.05 says "a letterer would give 5 % more area to avoid this".

COST_LONE_SHORT_WORD = 0.25
"""First or last line of one word under LONE_WORD_LETTERS letters: it dangles."""

LONE_WORD_LETTERS = 4
"""A word of fewer letters looks lost on a line of its own."""

COST_LONE_WORD = 0.03
"""Last line of a single longer word: it dangles a little."""

COST_LONE_FIRST_WORD = 0.02
"""First line of a single longer word that no comma or stop sets apart: the reader stumbles into the
sentence. Less than at the end, where the eye has more weight above it."""

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

COST_LOZENGE = 0.5
"""For what the lines of a balloon (three or more) fall short of LOZENGE_SHARE: they are no lozenge,
even where none of the faults above has a name for it."""

LOZENGE_SHARE = 0.94
"""Lines that cover this share of the most that so many lines can cover of an oval look like one."""

COST_LOZENGE_MOST = 0.02
"""A poor lozenge costs no more than this: words say first where lines may end."""

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

# --- Looking a page over: the order of panels and words ---------------------------------------
# A confidence is a share of readers, 0 to 1: "this share will read it in this order".

ORDER_SURE = 0.95
"""A plain grid read row by row. Even there a few readers go another way (from memory)."""

STACK_BESIDE_TALL = 0.65
"""Beside a tall panel, a stack that comes first is read down by 62 to 68 % of readers, about 32 %
keep to the row (Cohn, Navigating comics, Frontiers in Psychology 4:186, 2013; percentages as given
by its author in 2016)."""

ORDER_CONFIDENT = 0.6
"""From here on an order is taken for what most readers do; below, it is said to be doubtful."""

ORDER_DOUBTFUL = 0.8
"""Below this the rival order is worth telling."""

STAGGER_SHARE = 0.25
"""Rows whose gutters are out of line by less than this share of the lower panel still read as rows;
by more, as columns. That readers leave the row by degree, the farther a page is from a grid, is
published (Cohn & Campbell, Navigating comics II, Applied Cognitive Psychology 29, 2015); the value
is craft."""

STAGGER_SHARE_WORDS = 0.5
"""The same for balloons in a panel: the higher is read first, unless half of it has another
beside it."""

SEPARATION_SHARE = 1.5
"""What each panel's width of extra gutter between columns takes from the confidence in rows. The
direction is published (Cohn 2013; Cohn & Campbell 2015), the value is craft."""

INSET_SHARE = 0.8
"""A panel of which this share lies in another is an inset: it is read after its host."""

INSET_FIRST_SURE, INSET_SURE = 0.6, 0.85
"""An inset in the corner where reading begins may be read before its host; others hardly."""

LEAD_OVER = 2.0
"""What a balloon over a gutter adds to the log odds of going across it: of two ways that are
equally likely, 85 of 100 then take that one (LEAD_HEDGE taken off). That words decide doubtful
pages is published (Cohn & Campbell 2015), the value is craft, as are those that follow."""

LEAD_OVER_POINTS = 45.0
"""A balloon that reaches this far into both panels (16 mm) leads as strongly as any."""

LEAD_NEARER, LEAD_NEAR_POINTS = 0.5, 36.0
"""The nearer of two next words: the log odds where the other is e times as far, which is the most;
distances are told apart from half an inch on (Omori et al. 2004 for the direction)."""

LEAD_SILENT = 0.3
"""Panels without words are skipped more (Omori et al. 2004): the log odds against going there."""

LEAD_HEDGE = 0.3
"""So much of what words add is not counted on: it is what a millimetre could change."""

CUT_DEGREES = 30.0
"""A gutter that slants more than this is neither the end of a row nor of a column."""

# --- Looking a page over: what is too much, too near, too small -------------------------------

CLOSE_POINTS = 1.0
"""Balloons of different speakers nearer than this look as if they touched."""

COVER_SHARE_LEAST = 0.03
"""Less of a face or hand than this may be covered: zones are drawn with a little air."""

COVER_SHARE_GRAVE = 0.25
"""A face of which this much is gone is a problem, not a blemish."""

BORDER_SLACK_POINTS = 1.5
"""A balloon this little over a panel's border still looks as if it stood within."""

MOUTH_MISSED_POINTS = 14.0
"""A tail that ends farther than this from its speaker's mouth points at something else."""

CROWDED_SHARE = 0.4
"""A panel of which words cover more than this has little picture left."""

PANEL_OVERLAP_POINTS = 3.0
"""Panels that overlap by less than this share a border."""

PANEL_OFF_SHARE = 0.5
"""A panel of which more than this lies beyond the bleed is more likely a slip of a number than a
picture that runs on."""

PANEL_OVERLAP_SHARE = 0.25
"""Panels that overlap by more than this share of the smaller one, and are no insets, are more
likely a slip of a number than a wish."""

CONTRAST_LEAST, CONTRAST_LARGE = 4.5, 3.0
"""Least contrast of words with what is behind them, usual and large words (WCAG 2.1, 1.4.3)."""

CONTRAST_LARGE_POINTS, CONTRAST_LARGE_BOLD_POINTS = 18.0, 14.0
"""From these sizes words are large in that sense (WCAG 2.1, "large scale")."""

CAP_EM = 0.7
"""Cap height of a lettering face, about, where the face itself is not at hand (from memory)."""

PANEL_LEAST_EM = (4.0, 2.5)
"""A panel narrower or lower than this, in type sizes, holds no word with its air and border."""

# --- Joins and butts --------------------------------------------------------------------------

JOIN_NEAR_CAPS = 3.0
"""Balloons of one speaker in a row that stand no farther apart than this are tied by a neck."""

NECK_CAPS = 1.1
"""Width of the neck that ties two balloons: about a cap, as wide as a stout tail."""

NECK_FLARE, NECK_FLARE_NECKS = 0.3, 0.45
"""How far a neck widens to each side where it meets a balloon: shares of its length and width."""

NECK_OF_REACH = 0.75
"""A neck between small balloons is at most this share of its own feet."""

NECK_DEPTH = 0.42
"""The sides of a neck are hollow by no more than this share of the gap that they span."""

NECK_PULL_MOST = 0.7
"""A hollow's curve is drawn in by no more than this share of its span, or it becomes a corner."""

NECK_BORDER_SHARE = 0.12
"""A neck's foot takes no more than this share of a border to each side."""

NECK_OPEN = 0.45
"""Balloons that barely overlap are tied where their borders stand this share of a neck apart."""

WAIST_LEAST_CAPS = 2.4
"""Where two overlapping balloons would have a waist narrower than this, a neck is drawn."""

WAIST_SOFT_CAPS = 0.4
"""The corners of a waist are drawn round across this width, as a pen does; so they do not clot."""

WAIST_BACK_MOST = 14.0
"""However sharp a corner is, it is drawn back by no more than this many times that width."""

WAIST_PULL = 0.6
"""How far into a corner its rounding is drawn, as a share of the way."""

WAIST_ROOM_SHARE = 0.4
"""Nor by more than this share of the way to the next corner."""

SLIT_CAPS = 0.8
"""Art between two balloons of one contour that is narrower than this looks like a slip of the pen:
it is filled. Common practice, no source."""

SLIT_LONG_CAPS = 5.0
"""A slit is at least so long, measured along both its sides: a shorter one is a waist's corner."""

SLIT_MOST_CAPS = 14.0
"""A pocket behind a slit is filled with it up to so many square caps; a larger one shows art."""

SHARED_LINE_POINTS = 1.5
"""Captions whose borders are nearer than this share one line."""

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

# --- Revision ---------------------------------------------------------------------------------

SMALL_EDIT_LIKENESS = 0.7
"""Words that are at least so alike (shared runs of three letters) were edited, not written anew:
their lines are kept where that costs little. Common practice, no source."""

COST_LINES_CHANGED = 0.04
"""What a letterer would give in area to leave the lines of an edited balloon as they were: the page
was looked at and found good. As `text-wrap: stable` of CSS Text 4, which keeps earlier lines still
while one edits."""

BALLOON_LEAST_AREA, BALLOON_AREA_A_LETTER, BALLOON_USUAL_ASPECT = 1500.0, 70.0, 1.7
"""About how large a balloon is, in square points, whatever it says and for each letter, and how
wide to its height: as the demo's turn out. It is used only to keep words that come to another panel
off those that stand there. No source."""

MOUTH_KEPT_CLEAR = 24.0
"""So far from a mouth, in points, such words keep, so that there is room for a tail. No source."""

# --- Proposing places -------------------------------------------------------------------------
# All costs of a place are in inches: a cost of 0.5 says "a letterer would let the words stand half
# an inch lower in the panel to avoid this". Common practice, no source, unless a line says so.

PLACE_LOW = 1.0
"""For each inch that a balloon stands below the top of its panel: balloons hug the top."""

PLACE_START, PLACE_START_CAPTION = 0.15, 0.6
"""For each inch between the first words of a panel and the corner where reading begins; a caption
that opens a panel stands in that corner."""

PLACE_JUMP = 0.4
"""For each inch from the middle of one balloon to the middle of the next one read."""

PLACE_TAIL, PLACE_TAIL_LONG = 0.3, 0.18
"""For each inch from a balloon's border to the mouth that it belongs to, and for its square: tails
are short, and the longer one is the more an inch less is worth."""

PLACE_TAIL_OWN_FACE = 1.5
"""For a tail that lies across its own speaker's face: it comes from the side, and stops before."""

PLACE_END = 0.25
"""For each inch between a caption that closes a panel and the corner where reading ends."""

PLACE_ORDER_EFFECT = 1.1
"""For words and a sound effect that are met in another order than the script's."""

PLACE_SPEAKER = 0.15
"""For each inch between words and the nearest mouth, where their speaker has none in the panel."""

PLACE_BACK = 0.35
"""For each inch by which the next words lie back, against the way of reading."""

PLACE_UP = 0.8
"""For each inch by which the next words begin higher: the eye goes across and down."""

PLACE_BELOW_MOUTH = 0.8
"""For each inch that a balloon's middle stands lower than its speaker's mouth."""

PLACE_BUSY = 2.0
"""For words that cover the busiest art rather than blank paper."""

PLACE_FOCUS_NEAR = 1.0
"""For words close by what the eye should find; nothing from PLACE_FOCUS_POINTS on."""

PLACE_FOCUS_POINTS = 30.0
"""The air that what the eye should find is given where there is room."""

PLACE_FOCUS_CLEAR_POINTS = 4.0
"""So near to its point nothing of a focus is covered."""

PLACE_ZONE_NEAR = 0.6
"""For words that press on a face or a hand without covering it."""

PLACE_ON_ZONE = 6.0
"""For words that stand wholly within a zone to keep clear that is so large that they hide little of
it: a crowd, a whole figure."""

PLACE_ZONE_POINTS = 7.0
"""The air that faces and hands are given where there is room."""

PLACE_FACE_POINTS = 17.0
"""A mouth without a zone for its face: so much around it is taken for a face (from memory)."""

PLACE_FACE_UP_SHARE = 0.45
"""The middle of such a face lies above the mouth by this share of its radius."""

PLACE_AIR_CAPS = 1.6
"""Air between balloons of different speakers where there is room."""

PLACE_AIR = 0.5
"""For balloons of different speakers that nearly touch."""

PLACE_AIR_LEAST_POINTS = 2.5
"""Nearer than this, two balloons are taken to touch."""

PLACE_APART = 0.6
"""For each inch by which two balloons of one speaker in a row stand too far apart to be joined."""

PLACE_TIED = 0.25
"""For each inch between a mouth and a balloon that has no tail, being joined to the next one."""

PLACE_LOOSE = 1.0
"""For two balloons of one speaker in a row that stand too far apart to be joined, whatever the way:
each has a tail of its own then."""

PLACE_TOGETHER_CAPS = (0.6, 2.2)
"""Balloons of one speaker stand this far apart to be joined by a neck that is seen to be one."""

PLACE_SHAPE = 1.5
"""For a setting of the words that is worse by 1 on the scale of the fit (as 100 % more area)."""

PLACE_ORDER_NEAR = 0.8
"""For two balloons of which it takes a second look to see which one is read first."""

PLACE_ORDER_MARGIN = 0.15
"""Balloons share a row, or do not, by at least this share of the lower one, to be told apart."""

PLACE_FLOATING = 0.25
"""For each inch between a balloon and the nearest side of its panel: words keep to the edge."""

PLACE_EDGE_SPOT = 0.12
"""For a caption at the middle of an edge rather than in a corner."""

PLACE_CAPTION_SIDE = 0.3
"""For a caption on the left or right edge, between the corners."""

PLACE_EFFECT_FAR = 0.8
"""For each inch between a sound effect and what the eye should find."""

PLACE_EFFECT_LOW = 0.1
"""For each inch that a sound effect stands below the top: it stands by what sounds, not on top."""

# Faults of a place, on the same scale but out of reach of all the costs above: one is only accepted
# where nothing else is left, the lesser before the greater, and it is always told.

PLACE_FAULT_OUTSIDE = 4000.0
"""Words that do not keep within their panel and the live area."""

PLACE_FAULT_OVERLAP = 2000.0
"""Words that cover other words."""

PLACE_FAULT_ORDER = 800.0
"""Words that are read before those that come first."""

PLACE_FAULT_FACE = 400.0
"""A face, a hand, or what the panel is about, wholly covered; a part costs its share and a half."""

PLACE_FAULT_EARLY = 150.0
"""Words that are read before the eye has found what they are to be read after."""

PLACE_FAULT_TAIL_WORDS = 80.0
PLACE_FAULT_TAILS_CROSS = 60.0
PLACE_FAULT_TAIL_FACE = 30.0
"""A tail over words, over another tail, over a face that is not its speaker's."""

PLACE_TAIL_FOCUS_SHARE = 0.03
"""A tail over what the eye should find costs this share of one over a face."""

PLACE_FAULT_NO_TAIL = 40.0
"""A balloon so near the mouth that it has no tail, or upon it."""

PLACE_LEAST_FAULT = 15.0
"""From here on a cost is a fault. Pressing costs never add up to it in a panel of usual size."""

PLACE_STEP_POINTS = 13.0
"""Places are tried about so far apart; the best are moved by less afterwards."""

PLACE_CROWD = 5
"""From so many units in a panel on, fewer places are compared for each at first."""

PLACE_PROPOSALS = 4
"""Proposals shown for a panel."""

PLACE_UNLIKE_POINTS = 36.0
"""Two proposals differ where a unit stands this far from where the other has it."""

PLACE_UNLIKE = 1.4
"""What it is worth to a person to see another way: proposals dearer than this and half as much
again are not shown."""

# --- Thumbnails: the room that words need -----------------------------------------------------
# Common practice, no source, unless a line says so.

ROOM_PLENTY_SHARE = 0.15
"""Words that need no more of their panel than this leave the picture all the room it wants."""

ROOM_GOOD_SHARE = 0.3
"""Up to about a third of a panel is for words; CROWDED_SHARE is where too much begins."""

ROOM_PICTURE_SHARE = 0.4
"""On a page divided anew, each panel has a picture of at least this share of an even division."""

ROOM_ELBOW, ROOM_ASKED_MORE = 2.0, 1.3
"""There, a panel grows by so many times the area of its words; and one that the script calls wide
or tall has so much more picture than others."""

ROOM_WIDE, ROOM_TALL, ROOM_USUAL = 2.3, 0.62, 1.15
"""Width to height of a panel that the script calls wide or tall, and of any other."""

ROOM_SIDES = (0.45, 3.2)
"""Panels narrower or wider than this look like a slip on a page of a few."""

ROOM_GUTTER_POINTS = 9.0
"""The gutter of a page that we divide: an eighth of an inch."""

ROOM_ROW_MOST = 4
"""More panels than this side by side become strips."""

ROOM_PANELS_MOST = 12
"""A page of more panels is not divided by us."""

ROOM_GRIDS = 3
"""Divisions of a page that are shown."""

ROOM_STRIP_DPI = 200
"""Dots to an inch of a vertical scroll that has no layout yet: at 800 px wide, type of the usual
size is then read at full speed on a telephone (EYE_TO_TELEPHONE_MM, TELEPHONE_WIDTH_MM)."""

ROOM_STRIP_GAP_SHARE = 0.15
"""The white between two panels of a scroll, as a share of its width: the reader's thumb needs it to
tell them apart."""

ROOM_STRIP_NARROW_SHARE = 0.72
"""A panel of a scroll that is to be quiet takes this share of the width."""

# --- A sheet to draw on, and its scan ---------------------------------------------------------

GUIDE_SCALE = 1.5
"""Art is drawn half as large again as it is printed: it closes up and gains by it. The board of an
American comic, 10 by 15 in for a page of 6.625 by 10.25 in, is about that (from memory)."""

GUIDE_SCALE_RANGE = (0.5, 4.0)
GUIDE_BLUE, GUIDE_BLUE_STRONG = "#a9dcf4", "#7cc8ee"
"""Pale blue that a scan in black drops, and grey art hardly shows: under half as dark as grey."""

GUIDE_SIDE_LEAST_POINTS = 72.0
"""A page under an inch is a slip of the unit, not something to draw on."""

GUIDE_SIDE_MOST_POINTS = 4800.0
"""No sheet is longer than about 1.7 m."""

GUIDE_OVERLAP_POINTS, GUIDE_PAPER_EDGE_POINTS = 34.0, 18.0
"""Tiles overlap by 12 mm to be glued; printers leave about 6 mm of the paper's edge white."""

SCAN_AFFINE_MM = 0.12
"""Marks that agree within this, on the page, were scanned flat: turned, scaled and skewed only."""

SCAN_UNEVEN_MOST, SCAN_SKEW_MOST_DEGREES = 0.1, 6.0
"""Beyond these a scan is not of this page, or its points were taken in the wrong order."""

SCAN_MARK_LIKE = 0.55
"""Of a mark's pixels, so many must be as a mark has them; the rest may be drawn over."""

SCAN_DPI_MOST = 1200
"""Art that is brought back has no more pixels an inch than the sharpest print."""

# --- Easy reading: how large, how wide, how long ------------------------------------------------

EASY_LETTER_DEGREES = (0.2, 2.0)
"""Reading is fastest for x-heights from the one to the other (Legge & Bigelow 2011); of capitals,
their height counts, which is what lettering shows in place of the x-height (our reading of it)."""

EYE_TO_PAGE_MM = 400.0
"""A page is held 40 cm away: there the least is 1.4 mm (Legge & Bigelow 2011)."""

EYE_TO_TELEPHONE_MM = 322.0
"""How far a telephone is held for reading web pages, on average (Bababekova et al. 2011; from
memory)."""

TELEPHONE_WIDTH_MM = 65.0
"""How wide the screen of a usual telephone is, held upright (common practice, no source)."""

EASY_LINE_LETTERS, SLOW_LINE_LETTERS, SLOW_LINE_WORDS = 13, 8, 10
"""Lines of 13 characters give 80 % of the fastest reading, and 8 with low vision (Legge & Bigelow
2011, as gathered in our notes). Balloons hold about 10 and are read all the same, so it is told of
lines under 8, and of ten words or more: a few are read at a glance (common practice, no source)."""

READING_WORDS_A_MINUTE = 238.0
"""Silent reading of English by grown people, on average (Brysbaert 2019)."""

SPACED_EM = 0.12
"""Letters for readers who find spaced ones easier: 0.12 em more (WCAG 2.1, 1.4.12). The study in
which wider letters helped dyslexic children used 0.18 em (Zorzi et al. 2012: 2.5 pt at 14 pt; from
memory), for texts in small letters; capitals stand wider from the start."""

SPACING_WORDS = 3.0
"""Words part by so many times what letters do. Letters alone part words too little to be told
apart (Galliussi et al. 2020); in the texts of Zorzi et al. (2012) it was about three (from
memory)."""

SPACING_MOST_EM = 0.5
"""More than this, letters no longer gather into words (common practice, no source)."""

# --- A page for the screen ----------------------------------------------------------------------

SCREEN_WIDTH = 1200
"""Pixels across: sharp on most screens, and small enough to load (own choice)."""

SCREEN_WIDTH_RANGE = (100, 10_000)
SCREEN_CUT_RANGE = (200, 16_000)
"""Narrower or lower than these nothing can be read; the most lies under what WebP can hold."""

SCREEN_SIDE_MOST = {"png": 100_000, "jpeg": 65_535, "webp": 16_383}
"""Pixels of a picture's side: what JPEG and WebP can hold (their specifications); for PNG, which
holds more, what programs still open (own choice)."""

SCREEN_QUALITY = 90
"""Of a JPEG or WebP: below it, grey specks gather round black letters (own choice)."""

SCREEN_PIECE_LEAST_SHARE = 1 / 8
"""A piece of a page that was cut is at least this share of the height allowed."""

PROOF_DPI, PROOF_QUALITY = 110, 62
"""Art in a proof: sharp on a screen at print size, and a book of 22 pages stays under 8 MB."""

PROOF_QUALITY_PDF = 75
"""The same art as JPEG, of about the same looks."""

ART_STRETCH_MOST = 0.02
"""Art whose shape differs from that of its box by less than this share is not seen to be stretched;
rounding to whole pixels makes some of it."""

ART_DPI_LEAST = 150
"""Art with fewer pixels an inch looks coarse in print. Common practice, no source: 300 dpi is asked
for grey and coloured art, and half of it shows."""

# --- Panels found in drawn art ----------------------------------------------------------------

FOUND_GUTTER_MM = (0.9, 16.0)
"""Gutters are as wide as this, least and most. Common practice, no source: 3 to 8 mm are usual."""

FOUND_BORDER_MM = (0.7, 1.6)
"""A panel's border: the usual width and the most. Common practice, no source."""

FOUND_PANEL_MM = 8.0
"""Nothing narrower is taken for a panel. Common practice, no source."""

START_SHAPE_OFF = 0.02
"""A picture whose sides are off a page's by more than this share has another shape (from looking:
trim and bleed of one page differ by 1 %)."""

PREVIEW_PANEL = "#b8b8b8"
"""The lines of panels in a preview of a page that has no art yet."""

ROOM_UPRIGHT_LEAST = 0.5
"""Ghosts keep within a slanted panel's upright middle where that has this share of its sides."""
