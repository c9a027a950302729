"""The ordinary words of written rows, read from `words.toml`; numbers in words stand here.

Source: common practice of pattern English in the US and the UK; the yarn council's lists, from memory.
"""

import tomllib
from pathlib import Path

from grading.core.audit.phrases import Phrases

_LISTS: dict[str, list[str]] = tomllib.loads(Path(__file__).with_suffix(".toml").read_text(encoding="utf-8"))


def _phrases(name: str) -> Phrases:
    return Phrases(*_LISTS[name])


def _words(name: str) -> frozenset[str]:
    return frozenset(_LISTS[name])


ONES = (
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
TENS = {word: 10 * number for number, word in enumerate(_TENS, 2)}
NUMBER_WORDS = {**{word: number for number, word in enumerate(ONES)}, **TENS, "hundred": 100}
_ORDINALS = ("second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
ORDINAL_WORDS = {word: number for number, word in enumerate(_ORDINALS, 2)}
TIMES_WORDS = {"once": 1, "twice": 2, "thrice": 3}
FROM_STAR = {
    star: Phrases(*(phrase.replace("*", star) for phrase in _LISTS["from_star"]))
    for star in ("*", "**", "***", "†")
}
ABBREVIATED = _words("abbreviated")
STITCH_NOUNS = _phrases("stitch_nouns")
CHAIN_NOUNS = _phrases("chain_nouns")
SPACE_NOUNS = _phrases("space_nouns")
ROW_END_NOUNS = _phrases("row_end_nouns")
NEXT = _phrases("next")
FIRST = _phrases("first")
LAST = _phrases("last")
REST = _phrases("rest")
EACH = _phrases("each")
MARKER_TAILS = _phrases("marker_tails")
EACH_OF = _phrases("each_of")
SAME = _phrases("same")
TURNING = _phrases("turning")
RING = _phrases("ring")
END = _phrases("end")
TO_LAST = _phrases("to_last")
UNTIL_REMAIN = _phrases("until_remain")
REMAIN = _phrases("remain")
MARKER = _phrases("marker")
TO_MARKER = _phrases("to_marker")
SIDES = _phrases("sides")
BACK_LOOP_OF = _phrases("back_loop_of")
VERBS = _phrases("verbs")
SKIP = _phrases("skip")
CHAIN = _phrases("chain")
TURN = _phrases("turn")
RETURN = _phrases("return")
JOIN_WITH = _phrases("join_with")
JOIN_STITCH = _phrases("join_stitch")
INTO = _phrases("into")
JOIN_INTO = _phrases("join_into")
IDLE = _phrases("idle")
COLOUR_VERBS = _phrases("colour_verbs")
COLOURS = _phrases("colours")
BIND_OFF = _phrases("bind_off")
CAST_ON = _phrases("cast_on")
HOLD_VERBS = _phrases("hold_verbs")
HOLDERS = _phrases("holders")
LEAVE = _phrases("leave")
UNWORKED = _phrases("unworked")
INCREASE = _phrases("increase")
DECREASE = _phrases("decrease")
EVENLY = _phrases("evenly")
EACH_END = _phrases("each_end")
ONE_END = _phrases("one_end")
EVEN = _phrases("even")
PLACE_TAILS = _phrases("place_tails")
JOINING_STITCH = _phrases("joining_stitch")
COUNTS = _phrases("counts")
COUNTS_NOT = _phrases("counts_not")
THROUGHOUT = _phrases("throughout")
LOOP_IS_FIRST = _phrases("loop_is_first")
BOUND_FIRST = _phrases("bound_first")
OPPOSITE = _phrases("opposite")
OPPOSITE_VERBS = _phrases("opposite_verbs")
EDGES = _phrases("edges")
ENDING = _phrases("ending")
ENDING_LAST = _phrases("ending_last")
REPEAT = _phrases("repeat")
MORE_TIMES = _phrases("more_times")
EVEN_TAILS = _phrases("even_tails")
AS_PIECE = _phrases("as_piece")
OF_LINING = _phrases("of_lining")
OVER_ALL = _phrases("over_all")
ON_SLIP = _phrases("on_slip")
BIND_TAILS = _phrases("bind_tails")
CAST_TAILS = _phrases("cast_tails")
CHAIN_TAILS = _phrases("chain_tails")
PICK_UP = _phrases("pick_up")
ROWS = _phrases("rows")
AFTER_COUNT = _phrases("after_count")
SAID_BEGIN = _phrases("said_begin")
SAID_ALWAYS = _phrases("said_always")
SAID_AFTER = _phrases("said_after")
THIS_ROW = _phrases("this_row")
PART_OF = _phrases("part_of")
SAID_END = _phrases("said_end")
SAID_OTHER = _phrases("said_other")
SAID_CHANGES = _phrases("said_changes")
SAID_CHANGED = _phrases("said_changed")
TO_RING = _phrases("to_ring")
OF = _phrases("of")
AGAIN = _phrases("again")
SIDE_UP = _phrases("side_up")
WORK_STRAIGHT = _phrases("work_straight")
UNTIL_THERE_ARE = _phrases("until_there_are")
UNTIL_PART = _phrases("until_part")
FOR_PART = _phrases("for_part")
UNTWISTED = _phrases("untwisted")
ABOVE = _phrases("above")
IN_ALL = _phrases("in_all")
PLAIN_FABRICS = _phrases("plain_fabrics")
THERE_ARE = _phrases("there_are")
THAT_REMAIN = _phrases("that_remain")
PART_NAMES = _phrases("part_names")
AS_THE = _phrases("as_the")
MARK = _phrases("mark")
SEW_VERBS = _phrases("sew_verbs")
SIDE_SEAMS = _phrases("side_seams")
SHOULDER_SEAMS = _phrases("shoulder_seams")
OPEN_SEAMS = _words("open_seams")
REMAINING = _words("remaining")
AS_MANY_ROWS = _phrases("as_many_rows")
MARK_EDGES = _words("mark_edges")
OF_PIECE = _phrases("of_piece")
FABRIC_ASIDES = _words("fabric_asides")
MARKER_ASIDES = _words("marker_asides")
FROM_HERE = _phrases("from_here")
OTHER_ROWS = _phrases("other_rows")
BEGIN_VERBS = _phrases("begin_verbs")
BEGINS_WITH = _phrases("begins_with")
IF_LEFT = _phrases("if_left")
AS_FOLLOWS = _phrases("as_follows")
WITH_SHAPING = _phrases("with_shaping")
EXCEPT_LAST = _phrases("except_last")
NOTE_VERBS = _phrases("note_verbs")
TOOL_VERBS = _phrases("tool_verbs")
TOOL_ADJECTIVES = _words("tool_adjectives")
EDGE_NOUNS = _words("edge_nouns")
LABEL_WORDS = _words("label_words")
PIECE_NOUNS = _words("piece_nouns")
HEADING_NEVER = _words("heading_never")
ASIDE_NOUNS = _words("aside_nouns")
ASIDE_WORDS = _words("aside_words")
CLOSED_WORDS = _words("closed_words")
HEAD_NEVER = _words("head_never")
SIZED_VERBS = _words("sized_verbs")
TO_THE_END = _words("to_the_end")
HALF = _phrases("half")
OTHER_HALF = _phrases("other_half")
AS_ROWS = _phrases("as_rows")
IT = _phrases("it")
FABRICS = _phrases("fabrics")
AS_THEY_ARE = _phrases("as_they_are")
EVERY_ROW = _phrases("every_row")
FRONT_BACK = _phrases("front_back")
BY_WORKING = _phrases("by_working")
FILL_REST = _phrases("fill_rest")
WITH_CHANGES = _phrases("with_changes")
INCREASES = _phrases("increases")
DECREASES = _phrases("decreases")
FROM_HOOK = _phrases("from_hook")
TOGETHER = _phrases("together")
END_OF_EACH = _phrases("end_of_each")
STARTING_IN = _phrases("starting_in")
AT_RATE = _phrases("at_rate")
MIDDLE = _phrases("middle")
THESE = _phrases("these")
STAY = _phrases("stay")
FOUNDATION_STITCHES = _phrases("foundation_stitches")
MAKE_RING = _phrases("make_ring")
BACK_ALONG = _phrases("back_along")
DEFINES = _phrases("defines")
IN_ONE = _phrases("in_one")
TIMES_TAILS = _phrases("times_tails")
QUARTER_TURN = _phrases("quarter_turn")
EDGE_ENDS = _phrases("edge_ends")
SAME_AGAIN = _phrases("same_again")
DOING = (
    "ch",
    "chain",
    "on",
    "off",
    "inc",
    "dec",
    "increase",
    "decrease",
    "increasing",
    "decreasing",
    "bo",
    "co",
)
"""Words that begin something to be done when a number follows: no head has them."""
FIRST_AND_LAST = _phrases("first_and_last")
EACH_PART = _phrases("each_part")
NAMED_GROUPS = _phrases("named_groups")
DIRECTIONS = ("along", "up", "down", "round", "around", "across", "from", "over", "on")
MEANWHILE_ROWS = _phrases("meanwhile_rows")
