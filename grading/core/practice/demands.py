"""How many stitches the described row of a shaping needs, so that a piece never gets narrower than that."""

from dataclasses import replace

from grading.core.audit.cells import Beneath
from grading.core.audit.rows import Account
from grading.core.practice.sheet import described_in
from grading.core.practice.stages import Stage, Way
from grading.core.practice.techniques import Teaching
from grading.core.practice.words import described

MOST_NEEDED = 40  # stitches: more than a row of a practice piece has


def row_needs(of: Teaching, stage: Stage) -> int:
    """Return the fewest stitches on which the described row of a shaping can be worked.

    Args:
        of: The graded pattern.
        stage: A stage of a practice piece.

    Returns:
        Stitches; 0 where no row is described, or none that can be read.

    Source: derived; the row is worked by the count audit.
    """
    text = described(described_in(of, stage), stage.each)
    if not text:
        return 0
    return next((n for n in range(1, MOST_NEEDED + 1) if _can_be_worked(text, of.pattern.craft, n)), 0)


def with_room(of: Teaching, stage: Stage) -> Stage:
    """Return a stage whose ways begin with stitches enough for the last of its described rows.

    Args:
        of: The graded pattern.
        stage: A stage of a practice piece.

    Returns:
        The stage; one that decreases has still as many stitches before its last shaping row.

    Source: derived.
    """
    needed = row_needs(of, stage)
    return (
        replace(stage, ways=tuple(_roomy(way, needed, stage.each) for way in stage.ways)) if needed else stage
    )


def _roomy(way: Way, needed: int, each: int) -> Way:
    """A way that begins with so many more stitches as go away before its last shaping row."""
    before_last = max(0, -way.change - each)
    return replace(way, at_least=max(way.at_least, needed + before_last))


def _can_be_worked(text: str, craft: str, stitches: int) -> bool:
    """Whether a row comes out over so many stitches."""
    account = Account(craft)
    account.beneath = Beneath.of_count(stitches)
    return account.audit(text).verdict == "agrees"
