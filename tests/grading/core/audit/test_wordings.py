"""Rows made from a structure and printed in random wordings are read back to the same counts."""

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from grading.core.audit.rows import audit_row

CROCHET = ("sc", "hdc", "dc", "tr")
NONSENSE = ("wimple", "grandle", "turvy")


def plain_crochet(stitch, number):
    wordings = [
        f"{stitch} in next {number} sts",
        f"1 {stitch} in each of the next {number} sts",
        f"{stitch} in each of next {number} stitches",
        f"work 1 {stitch} in each of the following {number} sts",
        f"{stitch} {number}",
        f"{number} {stitch}",
    ]
    return st.sampled_from(wordings)


def grown_crochet(stitch, number):
    return st.sampled_from(
        [
            f"{number} {stitch} in next st",
            f"work {number} {stitch} into the next stitch",
            f"{number} {stitch} in the next st",
        ]
    )


@st.composite
def crochet_part(draw):
    """A part of a crochet row: its words, what it takes, what it leaves."""
    stitch = draw(st.sampled_from(CROCHET))
    number = draw(st.integers(2, 12))
    kind = draw(st.sampled_from(("plain", "grown", "together", "skip")))
    if kind == "plain":
        return draw(plain_crochet(stitch, number)), number, number
    if kind == "grown":
        return draw(grown_crochet(stitch, number % 5 + 2)), 1, number % 5 + 2
    if kind == "together":
        return (
            draw(st.sampled_from([f"{stitch}2tog", f"{stitch} 2 together", f"{stitch}2tog over next 2 sts"])),
            2,
            1,
        )
    return (
        draw(st.sampled_from([f"skip next {number} sts", f"sk {number} sts", f"miss the next {number} sts"])),
        number,
        0,
    )


@st.composite
def knitting_part(draw):
    """A part of a knitted row."""
    number = draw(st.integers(1, 12))
    parts = {
        **dict.fromkeys((f"k{number}", f"p {number}", f"knit the next {number} sts"), (number, number)),
        **dict.fromkeys((f"sl {number} wyif", f"purl {number}"), (number, number)),
        **dict.fromkeys(("k2tog", "ssk", "p2tog", "skp"), (2, 1)),
        **dict.fromkeys(("sk2p", "k3tog", "cdd"), (3, 1)),
        **dict.fromkeys(("yo", "m1", "m1l"), (0, 1)),
        "kfb": (1, 2),
    }
    words = draw(st.sampled_from(sorted(parts)))
    return words, *parts[words]


def as_row(parts, separator):
    words = [part[0] for part in parts]
    return separator.join(words), sum(part[1] for part in parts), sum(part[2] for part in parts)


@st.composite
def whole_row(draw, part, repeats):
    """A row with a repeat in it, and its counts."""
    before, body, after = (draw(st.lists(part, min_size=1, max_size=3)) for _ in range(3))
    times = draw(st.integers(2, 6))
    separator = draw(st.sampled_from([", ", "; "]))
    lead, group, tail = (as_row(parts, ", ") for parts in (before, body, after))
    repeat = draw(st.sampled_from(repeats)).format(group=group[0], times=times, more=times - 1)
    takes = lead[1] + times * group[1] + tail[1]
    leaves = lead[2] + times * group[2] + tail[2]
    return f"{lead[0]}{separator}{repeat}{separator}{tail[0]}", takes, leaves


REPEATS = (
    "({group}) {times} times",
    "[{group}] x {times}",
    "*{group}; rep from * {more} more times",
    "*{group}, repeat from * {more} times more",
)
CLOSINGS = st.sampled_from(
    [
        " ({n} sts)",
        ". {n} sts.",
        " - {n} sts",
        ". You now have {n} sts.",
        " [{n} sts]",
        ". {n} stitches remain.",
    ]
)


def audited(craft, words, before, closing, said):
    text = f"Row 7: {words}{closing.format(n=said)}"
    return audit_row({"craft": craft, "before": before, "text": text, "counts_turning_chain": False})


rows = st.one_of(
    st.tuples(st.just("crochet"), whole_row(crochet_part(), REPEATS)),
    st.tuples(st.just("knitting"), whole_row(knitting_part(), REPEATS)),
)


@settings(max_examples=80, deadline=None)
@given(row=rows, closing=CLOSINGS)
def test_a_row_in_any_wording_is_read_back_to_its_counts(row, closing):
    craft, (words, takes, leaves) = row
    found = audited(craft, words, takes, closing, leaves)
    assert (found.verdict, found.takes, found.leaves, found.said) == ("agrees", takes, leaves, leaves), words


@settings(max_examples=50, deadline=None)
@given(row=rows, closing=CLOSINGS, off=st.sampled_from((-2, -1, 1, 2)))
def test_a_changed_number_is_a_disagreement(row, closing, off):
    craft, (words, takes, leaves) = row
    assume(leaves + off >= 0)
    assert audited(craft, words, takes, closing, leaves + off).verdict == "disagrees", words
    assert audited(craft, words, takes + abs(off), closing, leaves).verdict == "disagrees", words


@settings(max_examples=50, deadline=None)
@given(row=rows, closing=CLOSINGS, place=st.integers(0, 50), nonsense=st.sampled_from(NONSENSE))
def test_an_unknown_word_is_unreadable_and_never_a_wrong_count(row, closing, place, nonsense):
    craft, (words, takes, leaves) = row
    cut = words.split(" ")
    at = place % (len(cut) + 1)
    spoilt = " ".join([*cut[:at], nonsense, *cut[at:]])
    assert audited(craft, spoilt, takes, closing, leaves).verdict == "unreadable", spoilt
