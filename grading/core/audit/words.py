"""The ordinary words of written rows, as data: numbers, places, ends, what says nothing about counts.

Source: common practice of pattern English in the US and the UK; abbreviations of the yarn council's lists, from memory.
"""

ONES = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen"]
TENS = {
    "twenty": 20,
    "thirty": 30,
    "forty": 40,
    "fifty": 50,
    "sixty": 60,
    "seventy": 70,
    "eighty": 80,
    "ninety": 90,
}
NUMBER_WORDS = {**{word: number for number, word in enumerate(ONES)}, **TENS, "hundred": 100}
ORDINAL_WORDS = {
    "second": 2,
    "third": 3,
    "fourth": 4,
    "fifth": 5,
    "sixth": 6,
    "seventh": 7,
    "eighth": 8,
    "ninth": 9,
    "tenth": 10,
}
TIMES_WORDS = {"once": 1, "twice": 2, "thrice": 3}
# After these a full stop before small letters ends an abbreviation, no sentence.
ABBREVIATED = frozenset(
    ["st", "sts", "sc", "dc", "hdc", "tr", "htr", "dtr", "tss", "tks", "tps", "ch", "chs", "sl", "sk", "rep", "beg", "foll", "rem", "tog", "inc", "dec", "alt", "patt", "pat", "rnd", "rnds", "cont", "approx", "yo", "k", "p", "ss", "sp", "sps", "lp", "lps", "tch", "pm", "sm", "bo", "co", "incl", "ea"]
)


def phrases(*texts: str) -> tuple[tuple[str, ...], ...]:
    """Phrases as rows of words, the longest first, so that the longest that fits is read."""
    return tuple(sorted((tuple(text.split()) for text in texts), key=len, reverse=True))


STITCH_NOUNS = phrases(
    "st", "sts", "stitch", "stitches", "st ( s )", "st s", "stitch ( es )", "vertical bar", "vertical bars", "bar",
    "bars", "live sts", "live stitches", "live st", "remaining sts", "rem sts", "rem st", "held sts",
    "sts on needle", "sts on the needle", "sts on hook",
)  # fmt: skip
CHAIN_NOUNS = phrases(
    "ch", "chs", "chain", "chains", "ch st", "ch sts", "chain stitch", "chain stitches", "ch s"
)
SPACE_NOUNS = phrases(
    "sp", "sps", "space", "spaces", "loop", "loops", "lp", "lps", "arch", "arches", "sp ( s )"
)
ROW_END_NOUNS = phrases(
    "row end", "row ends", "row edge", "row edges", "end of row", "end of rows", "side of row", "row", "rows"
)
NEXT = phrases("next", "the next", "following", "the following", "foll", "the foll")
FIRST = phrases("first", "the first", "1st", "the 1st")
LAST = phrases("last", "the last", "final", "the final")
REST = phrases("remaining", "the remaining", "rem", "the rem", "other", "the other")
EACH = phrases("each", "every", "each of", "each of the", "all", "all of the", "all the", "every one of the")
MARKER_TAILS = phrases(
    "for the raglan lines",
    "for raglan lines",
    "for raglan",
    "evenly",
    "evenly spaced",
    "evenly around",
    "for the raglans",
    "for side seams",
    "for the side seams",
)
EACH_OF = phrases("each of", "each of the", "each", "every one of", "every one of the", "all of", "all")
SAME = phrases(
    "same st", "same stitch", "the same st", "the same stitch", "same place", "the same place", "st at base of ch",
    "base of ch", "the base of ch", "the st at base of ch", "stitch at base of ch", "st at the base of ch",
    "the st at the base of the ch", "the stitch at the base of the ch", "st at base of beg ch", "base of the ch",
    "the base of the ch", "same sp", "same space", "the same sp", "the same space", "same st as join",
    "same st as joining", "same st as joining sl st", "same st as sl st", "same stitch as join",
    "same place as join", "same sp as join", "same ch sp", "st at base of chain", "base of chain",
    "the st at base of the turning ch", "base of turning ch", "that same st", "same st as ss", "same st as the join",
    "st at base of turning ch", "base of beg ch", "st below", "the st below", "st directly below",
)  # fmt: skip
TURNING = phrases(
    "top of turning ch", "top of the turning ch", "top of tch", "top of the tch", "top of t ch", "top of the t ch",
    "turning ch", "the turning ch", "turning chain", "the turning chain", "top of turning chain",
    "top of the turning chain", "tch", "the tch", "t ch", "top of beg ch", "top of the beg ch",
    "top of beginning ch", "top of the beginning ch", "beg ch", "the beg ch", "top of starting ch",
)  # fmt: skip
RING = phrases(
    "ring", "the ring", "magic ring", "a magic ring", "the magic ring", "mr", "magic loop", "the magic loop",
    "center of ring", "centre of ring", "center of the ring", "centre of the ring", "magic circle",
    "the magic circle", "adjustable ring", "loop", "the loop", "circle", "the circle",
)  # fmt: skip
END = phrases(
    "to end", "to the end", "to end of row", "to end of rnd", "to end of round", "to the end of the row",
    "to the end of the rnd", "to the end of the round", "to end of the row", "to end of the round", "across",
    "across the row", "across row", "all across", "all the way across", "all along", "around", "all around",
    "all the way around", "all the way round", "all round", "round", "to the end of row", "to the end of round",
    "to the end of rnd", "across to end", "around to end", "to end of the rnd", "across to the end",
    "across the round", "for the whole row", "for the entire row", "for the rest of the row",
    "for the rest of the round", "over all sts", "all the way to the end", "until the end", "until end",
    "until the end of the row", "until the end of the round", "to row end", "for rest of row", "for rest of rnd",
    "across entire row", "across the entire row", "around entire round", "to the end of the needle",
    "right across", "right round", "along the row", "along row",
)  # fmt: skip
TO_LAST = phrases(
    "to last", "to the last", "to final", "to the final", "across to last", "across to the last", "around to last",
    "around to the last", "until last", "until the last", "to within last", "up to last", "up to the last",
    "along to last", "along to the last",
)  # fmt: skip
UNTIL_REMAIN = phrases("until", "to", "till")
REMAIN = phrases(
    "remain", "remains", "rem", "remaining", "are left", "is left", "left", "before end", "before the end",
    "from end", "from the end", "before end of row", "before the end of the row", "from the end of the row",
    "before end of rnd", "before the end of the round", "remain unworked", "are unworked", "before end of round",
)  # fmt: skip
MARKER = phrases(
    "marker", "the marker", "next marker", "m", "next m", "each marker", "mkr", "the next marker"
)
TO_MARKER = phrases("to", "until", "up to")
SIDES = phrases(
    "through both bars", "under both bars", "under both strands", "through back loop", "through the back loop",
    "through back loops", "through the back loops", "in back loop", "in back loops", "in the back loop",
    "in the back loops", "in blo", "in flo", "blo", "flo", "tbl", "in bl", "in fl", "wyif", "wyib", "purlwise",
    "knitwise", "pwise", "kwise", "in front loop", "in front loops", "in the front loop", "in the front loops",
    "through front loop", "through the front loop", "through tbl", "in the blo", "in the flo", "in back loop only",
    "in back loops only", "in front loop only", "in the back loop only", "in the front loop only",
    "in front loops only", "working in back loops", "under both vertical strands", "with yarn in front",
    "with yarn in back", "as if to purl", "as if to knit", "with yarn at front", "with yarn at back",
    "through both vertical bars", "in third loop", "in the third loop", "bl only", "fl only",
    "in bl only", "in fl only", "loosely", "through both loops", "in back bump",
    "with the yarn in front", "with the yarn in back", "through back bar",
)  # fmt: skip
BACK_LOOP_OF = phrases(
    "back loop of", "the back loop of", "front loop of", "the front loop of", "blo of", "flo of", "the blo of",
    "the flo of", "back bump of", "the back bump of", "back loops of", "front loops of", "both loops of", "bl of",
    "fl of", "top of", "the top of", "the back loops of", "the front loops of", "back ridge of", "the back ridge of",
    "bump of", "the back bumps of", "back bumps of", "back loop only of", "front loop only of",
    "the back loop only of", "the front loop only of",
)  # fmt: skip
VERBS = phrases(
    "work", "make", "working", "place", "put", "now work", "then work", "crochet", "now", "then", "next", "also",
    "continue to work", "cont to work", "and", "again", "then", "bring yarn forward and",
)  # fmt: skip
SKIP = phrases("skip", "sk", "miss", "skipping", "missing", "leave out", "pass over", "omit")
CHAIN = phrases("ch", "chain", "make a chain of", "make chain", "make ch", "chs", "a chain of")
TURN = phrases(
    "turn", "turning", "turn work", "turn the work", "turn and work on these sts only", "turn and work on these sts",
    "turn and continue on these sts only", "do not turn", "don't turn", "without turning", "turn again",
    "turn and cont on these sts only", "and turn", "not turning",
)  # fmt: skip
RETURN = phrases(
    "return", "return pass", "work return pass", "work the return pass", "work a return pass", "ret", "retp", "rp",
    "return as usual", "with return pass", "close", "work standard return", "return pass as usual",
    "return in the usual way", "standard return pass", "then return", "complete return pass", "and return",
    "make the return pass", "then work the return pass", "work return", "work the return", "work return pass as usual",
    "followed by a return pass", "standard return",
)  # fmt: skip
JOIN_WITH = phrases(
    "join", "join with", "to join", "join rnd", "join round", "join in", "join the round", "join the rnd",
    "joining", "and join", "join rnd with", "join round with", "join around with", "close with", "join by working",
    "join work with", "closing with",
)  # fmt: skip
JOIN_STITCH = phrases(
    "sl st", "ss", "a sl st", "a ss", "slip stitch", "a slip stitch", "slst", "slip st", "invisible join"
)
INTO = phrases(
    "in",
    "into",
    "in the",
    "into the",
    "around",
    "around the",
    "under",
    "round",
    "around post of",
    "around the post of",
    "around posts of",
    "around the posts of",
    "through",
    "from",
)
JOIN_INTO = phrases("in", "into", "to", "in the", "into the", "to the", "on", "at")
IDLE = phrases(
    "fasten off", "break yarn", "cut yarn", "break off", "break off yarn", "cut the yarn", "break the yarn",
    "pm", "place marker", "place a marker", "placing marker", "sm", "slip marker", "slip m", "slm", "rm",
    "remove marker", "remove the marker", "slip the marker", "place m", "pm for beg of rnd", "pm for end of rnd",
    "pm for beginning of rnd", "place marker for beg of rnd", "pm for start of rnd", "place marker for start of round",
    "place a marker for the start of the round", "place marker for beginning of round",
    "place marker for beg of round", "mark this st", "mark this stitch", "move marker up", "join for working in the rnd",
    "corner", "corner made", "rs", "ws", "rs facing", "ws facing", "right side", "wrong side", "rs row", "ws row",
    "on rs", "on ws", "with rs facing", "with right side facing", "with ws facing", "with wrong side facing",
    "right side facing", "wrong side facing", "being careful not to twist", "without twisting", "taking care not to twist",
    "being careful not to twist sts", "do not join", "do not fasten off", "work in rounds", "in rounds",
    "in the round", "in rnds", "work flat", "to work in the round", "for working in the round",
    "taking care not to twist sts", "weave in ends", "do not break yarn", "do not cut yarn", "fasten off yarn",
    "join yarn", "rejoin yarn", "attach yarn", "join new yarn", "join yarn to first st", "join yarn in first st",
    "join yarn to the first st", "with smaller hook", "with larger hook", "with the smaller hook",
    "with the larger hook", "with smaller needle", "with larger needle", "with smaller needles", "with larger needles",
    "with the smaller needle", "with the larger needle", "with the smaller needles", "with the larger needles",
    "change to larger hook", "change to smaller hook", "change to the larger hook", "change to the smaller hook",
    "change to larger needles", "change to smaller needles", "change to larger needle", "change to smaller needle",
    "change to the larger needle", "change to the smaller needle", "change to the smaller needles",
    "change to the larger needles", "with smaller tunisian hook", "with the smaller tunisian hook",
    "with the larger tunisian hook", "with the regular hook", "for left shoulder", "for right shoulder",
    "for the shoulder", "for shoulder", "for the neck", "for neck", "for armhole", "for the armhole",
    "for underarm", "for the underarm", "for second side", "for first side", "for the sleeve", "for sleeve",
    "for the second sleeve", "for the first sleeve", "for thumb", "for the thumb", "for later", "for now",
    "front", "back", "for front", "for back", "tightly", "gently", "made", "in pattern", "in patt",
    "increases made", "as a corner", "working in blo", "working in flo", "working in back loops only",
    "working in front loops only", "working in the back loop only", "working in the front loop only",
    "working in back loop only", "working in front loop only", "in back loops only", "rotate to work down the side edge",
    "rotate the work", "rotate", "on opposite side", "shell made", "v st made", "picot made", "popcorn made",
    "bobble made", "buttonhole made", "beg shell made", "at end", "at the end", "for buttonhole", "eyelet made",
    "thumb gap made", "remember to count", "drop a", "drop b", "drop mc", "drop cc", "close ring", "pull ring closed",
    "pull the ring closed", "for beg of rnd", "for beginning of round", "for start of round", "for beg of round",
    "mark last st", "mark first st", "mark the first st", "move the marker up", "with rs of work facing",
    "leaving a long tail", "leave a long tail", "leaving a long tail for sewing", "to form a ring", "to form ring",
    "form a ring", "cord", "weave in the ends", "in both colours", "in the usual way",
    "as usual", "neck edge", "for the hem", "loosely", "neatly", "for the first side", "for the second side",
)  # fmt: skip
COLOUR_VERBS = phrases(
    "with", "using", "in", "change to", "join", "with color", "with colour", "change color to", "change colour to",
    "with yarn", "in color", "in colour", "using color", "using colour", "join in", "switch to", "change to color",
    "change to colour", "with the", "using yarn", "change to yarn", "fasten off", "cut", "break", "join yarn",
    "join color", "join colour",
)  # fmt: skip
COLOURS = phrases("a", "b", "c", "d", "e", "mc", "cc", "cc1", "cc2", "main color", "main colour",
                  "contrast color", "contrast colour", "contrasting color", "contrasting colour", "cc 1", "cc 2", "cc 3")  # fmt: skip
BIND_OFF = phrases(
    "bind off",
    "bo",
    "cast off",
    "binding off",
    "casting off",
    "b o",
    "c off",
    "then bind off",
    "loosely bind off",
    "loosely cast off",
)
CAST_ON = phrases(
    "cast on",
    "co",
    "casting on",
    "c o",
    "then cast on",
    "backward loop cast on",
    "using the backward loop method cast on",
)
HOLD_VERBS = phrases(
    "place", "slip", "put", "placing", "slipping", "transfer", "move", "leave", "sl", "leaving", "putting"
)
HOLDERS = phrases(
    "on holder", "on a holder", "onto holder", "onto a holder", "on stitch holder", "on a stitch holder",
    "on waste yarn", "onto waste yarn", "to holder", "to a holder", "on scrap yarn", "onto scrap yarn",
    "to waste yarn", "to scrap yarn", "on st holder", "on a length of waste yarn", "on a thread", "on a spare needle",
    "on spare needle", "onto a stitch holder", "onto stitch holder", "to a stitch holder", "on hold",
    "onto a spare needle", "on a length of yarn", "onto a length of waste yarn", "on a safety pin", "on safety pin",
    "on the holder",
)  # fmt: skip
LEAVE = phrases("leave", "leaving", "with", "and leave", "then leave")
UNWORKED = phrases(
    "unworked", "un worked", "not worked", "unworked for now", "unused", "unworked for second side",
    "unworked for neck", "unworked for the neck", "unworked for armhole", "unworked for the armhole",
    "free", "unworked at end", "unworked at the end", "for the second side", "for second side", "for the other side",
)  # fmt: skip
INCREASE = phrases("inc", "increase", "increasing", "and inc", "and increase", "incr", "add", "adding")
DECREASE = phrases("dec", "decrease", "decreasing", "and dec", "and decrease", "decr")
EVENLY = phrases(
    "evenly", "evenly spaced", "evenly across", "evenly around", "evenly across row", "evenly across the row",
    "evenly around the round", "spaced evenly", "evenly spaced across", "evenly spaced around", "evenly over the row",
    "evenly over row", "evenly spaced across the row", "evenly round", "evenly spaced around the round",
    "evenly spaced across row", "spaced evenly around", "spaced evenly across", "evenly along the row",
    "evenly along row", "evenly over the round", "at even intervals", "evenly in the round", "evenly in this row",
    "evenly in this round", "evenly to end", "evenly spread", "evenly throughout", "evenly distributed", "evenly in each round", "evenly in each row", "evenly on each row", "evenly in each rnd", "evenly in every round",
)  # fmt: skip
EACH_END = phrases(
    "at each end", "each end", "at both ends", "both ends", "at each side", "each side", "at both sides",
    "at each edge", "at beginning and end", "at beg and end", "at the beginning and end", "at the beg and end",
    "at both edges", "at the beginning and the end", "at each end of the row", "on each side", "on both sides",
    "at start and end", "at the start and end", "at the start and the end", "both sides", "each edge",
)  # fmt: skip
ONE_END = phrases(
    "at neck edge", "at armhole edge", "at front edge", "at beg", "at beginning", "at the beginning", "at the beg",
    "at the neck edge", "at the armhole edge", "at the front edge", "at start", "at the start", "at end", "at the end",
    "neck edge", "armhole edge", "at side edge", "at the side edge", "at raglan edge", "at left edge", "at right edge",
    "at shaped edge", "at the shaped edge", "at one end", "at this end", "at inside edge", "at outside edge",
)  # fmt: skip
EVEN = phrases(
    "work even", "work straight", "knit even", "work in st st", "work in stockinette", "work in stockinette stitch",
    "work in stocking stitch", "work in garter st", "work in garter stitch", "work in g st", "work in rib",
    "work in pattern", "work in patt", "continue in st st", "continue in rib", "cont in st st", "cont in patt",
    "continue in pattern", "st st", "stockinette", "garter st", "garter stitch", "stocking stitch", "work plain",
    "work in pat", "work without shaping", "continue even", "cont even", "continue straight", "cont straight",
    "continue without shaping", "cont without shaping", "work in reverse st st", "work in rev st st",
    "work in seed st", "work in seed stitch", "work in moss st", "work in moss stitch", "stockinette stitch",
    "work in stst", "work in ribbing", "rib", "work rib", "work in garter", "continue in garter st", "work",
    "patt", "pattern", "moss st", "seed st", "moss stitch",
    "continue in stockinette stitch", "continue in stocking stitch", "continue in stockinette", "work in stockinette st",
)  # fmt: skip
PLACE_TAILS = phrases(
    "of previous row", "of previous rnd", "of previous round", "of the previous row", "of the previous round",
    "of the previous rnd", "of prev row", "of prev rnd", "of prev round", "of last row", "of last rnd",
    "of last round", "just made", "of row below", "of the row below", "of rnd below", "of round below",
    "of the round below", "below", "of foundation ch", "of the foundation ch", "of foundation chain",
    "of the foundation chain", "of starting ch", "of the starting ch", "of starting chain", "of the row",
    "of the round", "of row", "of rnd", "of round", "on needle", "on the needle", "of ch", "of chain", "of the chain",
    "of the ch",
)  # fmt: skip
JOINING_STITCH = phrases(
    "join", "the join", "joining", "sl st", "the sl st", "ss", "the ss", "joining sl st", "the joining sl st",
    "joining ss", "joining slip stitch", "last st", "last sc", "last dc", "joining st",
)  # fmt: skip
COUNTS = phrases(
    "counts as", "count as", "counting as", "counted as", "counts", "count", "will count as", "is counted as",
    "are counted as", "counts for", "count for", "here counts as", "each count as", "stands for",
    "acts as", "to count as", "always counts as", "takes the place of", "serves as", "as", "each counts as",
    "each counted as", "replaces",
)  # fmt: skip
COUNTS_NOT = phrases(
    "does not count as", "do not count as", "doesn't count as", "don't count as", "not counted as", "not counting as",
    "does not count", "do not count", "doesn't count", "don't count", "not counted", "is not counted as",
    "is not counted", "are not counted", "are not counted as", "not counting", "never counts as", "never counts",
    "will not count as", "does not count for", "never count as",
)  # fmt: skip
THROUGHOUT = phrases(
    "throughout", "here and throughout", "now and throughout", "here and in each row", "here and on every row",
    "here and in every row", "here and hereafter", "here and below", "here and on all rows", "in this and all rows",
    "on this and every row", "here and in all rows", "from here on", "in all rows", "on every row", "always",
    "here and in all foll rows", "here and on all following rows", "here and in all following rows",
    "in this and every row", "here and at the start of every row", "here and in the following rows",
)  # fmt: skip
LOOP_IS_FIRST = phrases(
    "loop on hook counts as first st", "loop on the hook counts as first st", "the loop on the hook is the first st",
    "the loop on hook is the first st", "the loop on the hook counts as the first st",
    "loop on hook counts as the first st", "first loop counts as a st", "the first loop counts as a st",
    "the loop on hook counts as the first st", "loop on hook is first st", "loop on hook is the first st",
    "the loop already on the hook counts as the first st", "loop on the hook is the first st",
    "the loop on the hook counts as a st", "the loop on the hook counts as first st",
    "the loop on hook counts as first st", "loop already on hook counts as first st",
    "the st on the hook after the sl sts is the first st", "the loop on your hook is the first st",
    "loop on hook counts as a st", "loop on hook counts as 1 st", "the loop on your hook counts as the first st",
    "the first loop is already on the hook", "first loop is on the hook", "first st is the loop on the hook",
    "the first st is the loop on the hook", "first st is on hook", "the loop on the hook counts as st 1",
)  # fmt: skip
BOUND_FIRST = phrases(
    "st on rh needle after binding off is the first of these", "st on needle after binding off is the first of these",
    "st left on needle after binding off is the first of these", "including st on needle after binding off",
    "including st already on needle", "including st on needle", "including the st on the needle",
    "st on needle after bind off is the first of these", "including st left on needle from bind off",
    "the st on the right needle counts as the first of these", "including the st already on the needle",
    "st left on the needle counts as first of these", "incl st on needle after casting off",
    "including st on right needle", "including st on needle after cast off", "st on needle is included",
    "including the st on the right needle", "st on right needle counts as first", "including st already on rh needle",
    "including st on rh needle", "including st used in binding off", "including st on needle after casting off",
    "includes st on needle after binding off", "includes st on needle", "including the stitch on the needle",
    "including st on right needle after binding off", "including the st on the needle after binding off",
    "including st left on needle", "including st left on needle after cast off",
    "including the st left on the needle", "incl st on needle",
)  # fmt: skip
OPPOSITE = phrases(
    "opposite side of ch", "opposite side of the ch", "opposite side of chain", "opposite side of the chain",
    "opposite side of foundation ch", "opposite side of the foundation ch", "opposite side of starting ch",
    "other side of ch", "other side of the ch", "other side of foundation ch", "other side of the foundation ch",
    "other side of starting ch", "opposite side of foundation chain", "opposite side of the foundation chain",
    "other side of the foundation chain", "other side of the chain", "other side of chain",
    "opposite side of the starting chain", "other side of the starting chain", "opposite side of the starting ch",
    "other side of the starting ch", "opposite side of starting chain", "unused loops of the ch",
    "free loops of the ch", "free loops of foundation ch", "remaining loops of the ch", "unused loops of foundation ch",
    "underside of the ch", "underside of ch", "free loops of the foundation ch", "rem loops of ch",
)  # fmt: skip
OPPOSITE_VERBS = phrases(
    "working along", "working on", "working in", "working into", "work along", "now work along", "now working along",
    "now working on", "working down", "working back along", "rotate and work along", "turn to work along",
    "continue along", "continue along the", "working along the", "on", "on the", "along", "along the",
    "working in the", "working on the", "now work on the", "now working along the", "now work in", "now work in the",
    "working into the", "work along the", "continue on", "continue on the", "continuing along",
    "continuing along the", "work in", "now along the", "rotate and work on", "rotate work and work in the",
    "working back along the", "working back on", "rotate and work along the", "now work along the", "rotate to work in",
    "turn the work to work along the", "working up", "working up the", "turn and work along the", "working down the",
)  # fmt: skip
EDGES = phrases(
    "along edge", "along the edge", "along front edge", "along the front edge", "along right front edge",
    "along the right front edge", "along left front edge", "along the left front edge", "along side edge",
    "along the side edge", "down side edge", "down the side edge", "up right front", "down left front",
    "along armhole edge", "along the armhole edge", "around armhole", "around the armhole", "along neck edge",
    "along the neck edge", "around neck", "around the neck", "along row ends", "along the row ends", "up the side",
    "down the side", "along the side", "up left front", "up the right front", "up the left front",
    "down the left front", "down the right front", "along the left edge", "along the right edge",
    "along the left side", "along the right side", "along right side", "along left side", "from row ends",
    "from the row ends", "up the edge", "down the edge", "up the front edge", "down the front edge",
    "along the button edge", "along the selvedge", "along the selvage", "up the right front edge",
    "up the left front edge", "down the left front edge", "down the right front edge", "evenly along the edge",
    "evenly along edge", "along this edge", "along each edge", "up side edge", "up the side edge",
    "along the short edge", "along the long edge", "along the left front", "along the right front",
    "along the left back edge", "along lower edge", "along the lower edge", "along the cast on edge",
    "along cast on edge", "around the armhole edge", "along one edge", "down side", "up side", "along left edge",
    "along right edge", "along the front", "up the selvedge", "down the selvedge", "on the side edge",
    "of the side edge", "of the edge", "of the front edge", "of front edge", "along the top", "along the bottom",
    "along the bottom edge", "along the top edge", "along top edge", "along bottom edge",
)  # fmt: skip
ENDING = phrases(
    "ending",
    "ending with",
    "end",
    "end with",
    "ending rep with",
    "end row with",
    "ending rnd with",
    "ending row with",
    "ends with",
)
ENDING_LAST = phrases(
    "ending last rep", "ending last repeat", "ending the last repeat", "end last rep", "end last repeat",
    "ending final repeat", "ending last rep with", "ending last repeat with", "ending the last rep",
    "ending the last repeat with", "end the last repeat with", "end last rep with", "ending the final repeat with",
    "ending final rep", "working last rep", "ending the last rep with",
)  # fmt: skip
REPEAT = phrases("rep", "repeat", "repeating", "reps", "work", "repeats", "and rep", "and repeat", "continue")
FROM_STAR = {
    "*": phrases(
        "from *",
        "between *",
        "between * and *",
        "from * to *",
        "* to *",
        "from * to * ",
        "*",
        "after *",
        "from * - *",
        "between * s",
        "between the *",
        "instructions from *",
        "instructions between *",
        "* - *",
    ),
    "**": phrases(
        "from **",
        "between **",
        "between ** and **",
        "from ** to **",
        "** to **",
        "**",
        "instructions from **",
    ),
    "***": phrases("from ***", "***"),
    "†": phrases("from †", "between †", "†"),
}
MORE_TIMES = phrases(
    "more times",
    "more time",
    "times more",
    "time more",
    "further times",
    "additional times",
    "more",
    "further time",
    "additional time",
    "times again",
    "extra times",
)
EVEN_TAILS = phrases("even", "plain", "straight", "without shaping", "in pattern", "in patt")
ON_SLIP = phrases(
    "standing on the last ss", "standing on last ss", "standing on the last sl st", "standing on last sl st",
    "standing on the last slip stitch", "standing over the last ss", "standing over the last sl st",
    "worked over the last sl st", "standing on the last slipped st", "sitting on the last sl st",
    "sitting on the last ss", "in place of the last sl st", "above the last sl st", "above the last ss",
    "on top of the last sl st", "on top of the last ss",
)  # fmt: skip
BIND_TAILS = phrases(
    "in patt",
    "in pattern",
    "in rib",
    "loosely",
    "knitwise",
    "purlwise",
    "kwise",
    "pwise",
    "firmly",
    "evenly",
    "in ribbing",
    "to end",
    "across",
    "for neck",
    "for underarm",
    "for armhole",
    "for the neck",
    "for the underarm",
    "for the armhole",
    "for buttonhole",
    "for the buttonhole",
    "for shoulder",
    "for the shoulder",
)
CAST_TAILS = phrases(
    "for underarm", "for the underarm", "using the backward loop method", "using backward loop method",
    "using the cable method", "using cable cast on", "at end", "at the end", "over gap", "over the gap",
    "to left needle", "loosely", "over bound off sts", "over the bound off sts", "over these sts", "using a knitted cast on",
    "with waste yarn", "with the smaller needle", "with smaller needle", "for thumb", "at underarm", "at the underarm",
    "at end of row", "at the end of the row", "for the second sleeve", "for the first sleeve", "for sleeve", "for the buttonhole",
    "over the bound off sts of previous row", "at this point", "in their place", "in place of them", "over the thumb gap",
    "using the cable cast on", "for the other sleeve", "for neck", "for the neck", "over the gap of the previous row", "at end of this row", "at the end of this row",
)  # fmt: skip
CHAIN_TAILS = phrases(
    "for the second sleeve", "for the first sleeve", "for sleeve", "for the sleeve", "for underarm", "for the underarm",
    "for corner", "for the corner", "for second sleeve", "for first sleeve", "for buttonhole", "for the buttonhole",
    "for armhole", "for the armhole", "for neck", "for the neck", "loosely", "over gap", "for button loop", "for thumb",
    "for the other sleeve", "for the thumb",
)  # fmt: skip
PICK_UP = phrases(
    "pick up and k", "pick up and knit", "pick up and p", "pick up and purl", "pick up", "pick up & k", "pick up & knit",
    "puk", "pu & k", "pu and k", "pick up and work", "picking up and knitting", "picking up",
)  # fmt: skip
ROWS = phrases("rows", "row", "rnds", "rnd", "rounds", "round", "more rows", "more rounds")
AFTER_COUNT = phrases(
    "fasten off",
    "join",
    "turn",
    "do not turn",
    "break yarn",
    "cut yarn",
    "return",
    "pm",
    "sl st to join",
    "ss to join",
    "join with sl st",
    "and turn",
    "fasten off and weave in ends",
    "weave in ends",
    "change to b",
    "change to a",
)
SAID_BEGIN = phrases(
    "you have", "you now have", "you should have", "you should now have", "there are", "there are now", "total", "total of",
    "now", "you will have", "leaves", "leaving", "makes", "gives", "for a total of", "you 'll have", "there should be",
    "there should now be", "a total of", "giving", "now there are", "you end with", "you end up with", "st count :",
    "count :", "total :", "stitch count :", "sts :", "making", "and you have", "you are left with",
    "this leaves", "this gives", "this makes", "you have now", "now you have", "st count", "stitch count", "total st count :", "to give", "=", "so", "all in all", "there will be", "there will now be",
    "count", "you should be left with", "you finish with", "end with", "you get", "this leaves you with", "tot", "tot :",
    "you should end with", "you then have", "there remain", "in total", "in all", "you will now have", "sts remaining :", "altogether", "all together",
)  # fmt: skip
SAID_END = phrases(
    "remain", "remains", "rem", "remaining", "on needle", "on the needle", "on needles", "in each round", "in each row", "in each rnd",
    "in all", "in total", "total", "now", "on hook", "on the hook", "at end of row", "at end of rnd", "per row", "per round", "left",
    "altogether", "each row", "each rnd", "each round", "made", "around", "across", "at the end of the row", "every row", "in every row", "per rnd",
    "on needles now", "are on the needle", "are left", "on the row", "in the round", "in the row", "each time", "worked", "on each row", "on each side",
    "counting tch", "including tch", "including the turning ch", "including ch", "including the ch 3", "incl tch", "including turning ch", "counting the turning ch", "in every round", "at end of round", "at end of each row", "at the end of each row", "are on the hook", "on your needle", "on your hook", "on the needles", "at end of each rnd",
    "including turning chain", "including the turning chain", "counting the ch", "not counting ch 1", "not counting the ch", "at end of last row", "at end of last rnd", "at end of last round", "at the end of last row", "at the end of the last row", "at the end of the last round", "after the last row", "at end of the last row", "on the last row", "at the end of each round", "at end of each round", "in last row",
    "including the beg ch", "including beg ch", "in the last row", "per side", "on left needle", "on right needle", "on lh needle", "on rh needle", "for back", "for front", "for sleeve", "for each row", "for each round", "for each rnd", "after last row",
)  # fmt: skip
SAID_OTHER = phrases(
    "picot", "picots", "shell", "shells", "cluster", "clusters", "v st", "v sts", "v stitch", "v stitches", "markers", "fans", "fan", "corners", "bobbles too",
    "corner", "points", "groups", "group", "petals", "ch 3 picots",
)  # fmt: skip
SAID_CHANGES = phrases(
    "increases",
    "decreases",
    "increase",
    "decrease",
    "incs",
    "decs",
    "inc",
    "dec",
    "increases made",
    "decreases made",
    "more",
    "fewer",
    "less",
)
SAID_CHANGED = phrases(
    "inc'd", "dec'd", "increased", "decreased", "more", "fewer", "less", "incd", "decd", "inc", "dec", "inc 'd", "dec 'd", "lost", "gained", "added",
)  # fmt: skip
TO_RING = phrases(
    "to form a ring",
    "to form ring",
    "into a ring",
    "to make a ring",
    "into ring",
    "forming a ring",
    "to form the ring",
    "in a ring",
    "to create a ring",
    "to a ring",
)
OF = phrases(
    "of",
    "on",
    "in",
    "over",
    "for",
    "on the",
    "of the",
    "in the",
    "over the",
    "for the",
    "of each of the",
    "on each of the",
)
AGAIN = phrases(
    "rep", "repeat", "as", "work as", "work as for", "same as", "as for", "work same as", "work rows as", "repeating", "work the same as", "work another", "like", "work like", "work again", "then rep", "then repeat", "work",
)  # fmt: skip
