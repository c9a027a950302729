"""What a tester does when a gauge is off: another hook or needle, and a swatch again; pure."""

# A share by which a gauge may be off before it is said; common practice: half a stitch in twenty.
CLOSE = 0.025

# A share from which the studio is told; common practice: a stitch in twenty.
FAR = 0.05

TOOLS = {"knitting": "needle"}


def tool_word(craft: str) -> str:
    """What fabric of a craft is made with; Tunisian crochet has a hook too."""
    return TOOLS.get(craft, "hook")


def gauge_advice(
    sent: tuple[float, float], pattern: tuple[float, float], *, span_mm: float, tool: str
) -> str:
    """Say what to do about a gauge, or nothing where it is close.

    Args:
        sent: Stitches and rows per mm of the tester.
        pattern: The same of the pattern.
        span_mm: What they are counted over.
        tool: What the fabric is made with.

    >>> gauge_advice((0.2, 0.175), (0.18, 0.16), span_mm=100, tool="hook")
    'You have 20 stitches, the pattern 18: try a larger hook, then swatch again before you begin.'
    >>> gauge_advice((0.2, 0.25), (0.2, 0.28), span_mm=100, tool="needle")[:54]
    'Your stitches fit. You have 25 rows, the pattern 28: l'
    """
    if min(*sent, *pattern) <= 0:
        return ""
    off = [(of - wanted) / wanted for of, wanted in zip(sent, pattern, strict=True)]
    have, wanted = ([f"{round(of * span_mm, 1):g}" for of in pair] for pair in (sent, pattern))
    if abs(off[0]) > CLOSE:
        size = "larger" if off[0] > 0 else "smaller"
        return (
            f"You have {have[0]} stitches, the pattern {wanted[0]}: "
            f"try a {size} {tool}, then swatch again before you begin."
        )
    if abs(off[1]) > CLOSE:
        comes = "shorter" if off[1] > 0 else "longer"
        return (
            f"Your stitches fit. You have {have[1]} rows, the pattern {wanted[1]}: "
            f"lengths that are counted in rows come out {comes}. Keep the {tool} that gives the stitches."
        )
    return ""


def gauge_told(
    sent: tuple[float, float], pattern: tuple[float, float], *, span_mm: float, span: str, near: float = FAR
) -> str:
    """Say how far a gauge is off, or nothing where it is near.

    Args:
        sent: Stitches and rows per mm of the tester.
        pattern: The same of the pattern.
        span_mm: What they are counted over.
        span: The same in words.
        near: The share by which it may be off before it is said; the studio's unless told otherwise.

    >>> gauge_told((0.18, 0.28), (0.22, 0.28), span_mm=100, span="10 cm")
    '18 stitches over 10 cm, the pattern has 22'
    >>> gauge_told((0.22, 0.28), (0.22, 0.28), span_mm=100, span="10 cm")
    ''
    """
    if min(*sent, *pattern) <= 0:
        return ""
    told = [
        f"{round(of * span_mm, 1):g} {what} over {span}, the pattern has {round(wanted * span_mm, 1):g}"
        for of, wanted, what in zip(sent, pattern, ("stitches", "rows"), strict=True)
        if abs(of - wanted) / wanted > near
    ]
    return "; ".join(told)
