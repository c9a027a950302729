"""What a tester does when a gauge is off: another hook or needle, and a swatch again; pure."""

# A share by which a gauge may be off before it is said; common practice: half a stitch in twenty.
CLOSE = 0.025

# A share from which the studio is told; common practice: a stitch in twenty.
FAR = 0.05

TOOLS = {"knitting": "needle"}


def tool_word(craft: str) -> str:
    """What fabric of a craft is made with; Tunisian crochet has a hook too."""
    return TOOLS.get(craft, "hook")


def rows_word(fabric: str) -> str:
    """What the rows of a fabric are called: rounds where its name says that it is worked in the round.

    >>> rows_word("Stocking stitch, in the round"), rows_word("Rib")
    ('rounds', 'rows')
    """
    return "rounds" if "in the round" in fabric.lower() else "rows"


Counts = tuple[float, float]


def gauge_advice(sent: Counts, printed: Counts, *, tool: str, rows: str = "rows") -> str:
    """Say what to do about a gauge, or nothing where it is close.

    To the trade 10 cm and 4 in are one square, and a pattern prints one number for both: that one is told.

    Args:
        sent: Stitches and rows of the tester over 10 cm or 4 in, whichever they count on.
        printed: The same as the pattern prints them.
        tool: What the fabric is made with.
        rows: What its rows are called.

    >>> gauge_advice((20, 17.5), (18, 16), tool="hook")[55:]
    'If it stays, try a larger hook, then swatch again before you begin.'
    >>> gauge_advice((20, 25), (20, 28), tool="needle")[:54]
    'Your stitches fit. You have 25 rows, the pattern 28: l'
    """
    if min(*sent, *printed) <= 0:
        return ""
    off = [(of - wanted) / wanted for of, wanted in zip(sent, printed, strict=True)]
    have, wanted = ([_count(of) for of in pair] for pair in (sent, printed))
    if abs(off[0]) > CLOSE:
        size = "larger" if off[0] > 0 else "smaller"
        return (
            f"You have {have[0]} stitches, the pattern {wanted[0]}: count once more. "
            f"If it stays, try a {size} {tool}, then swatch again before you begin."
        )
    if abs(off[1]) > CLOSE:
        comes = "shorter" if off[1] > 0 else "longer"
        return (
            f"Your stitches fit. You have {have[1]} {rows}, the pattern {wanted[1]}: "
            f"lengths that are counted in {rows} come out {comes}. Keep the {tool} that gives the stitches."
        )
    return ""


def gauge_told(
    sent: Counts, printed: Counts, *, span: str, near: float = FAR, times: float = 1.0, rows: str = "rows"
) -> str:
    """Say how far a gauge is off, or nothing where it is near.

    Args:
        sent: Stitches and rows of the tester over 10 cm or 4 in, whichever they count on.
        printed: The same as the pattern prints them.
        span: What is told over, in words.
        near: The share by which it may be off before it is said; the studio's unless told otherwise.
        times: That span as a multiple of what the tester counted over.
        rows: What the rows of the fabric are called.

    >>> gauge_told((18, 28), (22, 28), span="10 cm")
    '18 stitches over 10 cm, the pattern has 22'
    >>> gauge_told((18, 28), (22, 28), span="4 in", times=1.016)
    '18.3 stitches over 4 in, the pattern has 22'
    >>> gauge_told((22, 28), (22, 28), span="10 cm")
    ''
    """
    if min(*sent, *printed) <= 0:
        return ""
    told = [
        f"{_count(of * times)} {what} over {span}, the pattern has {_count(wanted)}"
        for of, wanted, what in zip(sent, printed, ("stitches", rows), strict=True)
        if abs(of - wanted) / wanted > near
    ]
    return "; ".join(told)


def _count(count: float) -> str:
    return f"{round(count, 1):g}"
