"""The practice piece of a pattern, as it is computed for a draft and frozen with a version."""

from dataclasses import asdict, dataclass, replace
from typing import Any

from catalogue.models import Pattern, PracticeChoice
from catalogue.versions.records import Record
from grading.core.grade.grade import Graded, grade
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.practice.practice import Part, practice_piece
from grading.core.practice.techniques import Teaching, Technique


@dataclass(frozen=True)
class KeptPiece:
    """A practice piece with its numbers; `sizes` says of each of its pieces how large it is."""

    techniques: tuple[Technique, ...]
    graded: Graded
    sizes: tuple[dict[str, Any], ...]
    lost: tuple[str, ...]
    in_pdf: bool
    is_first: bool = False
    """Whether it is told as pieces were at first: yarn by weight too, labels in the pattern's own terms."""


def piece_record(pattern: PatternFile, graded: Graded, keys: list[str], *, in_pdf: bool) -> dict[str, Any]:
    """All that a version keeps of a practice piece: its whole sheet, graded again wherever it is shown."""
    piece = practice_piece(Teaching(pattern, graded), keys)
    return {
        "techniques": [asdict(one) for one in piece.techniques],
        "sheet": piece.typed,
        "order": {part: list(piece.typed.get(part, ())) for part in ("body", "fabrics", "abbreviations")},
        "sizes": [_size(one) for one in piece.parts],
        "lost": list(piece.lost),
        "in_pdf": in_pdf,
        "is_first": False,
    }


def _size(part: Part) -> dict[str, Any]:
    """What a piece is called, its stitches in the widest row, and its rows or rounds."""
    course = part.course
    unit = "rounds" if part.in_rounds else "rows"
    size = {"title": part.title, "stitches": course.widest_row, "rows": course.rows, "unit": unit}
    edges = [stitches for _, stitches in course.over if stitches]
    return {**size, "edges": edges} if edges else size


def chosen_practice(pattern: Pattern) -> PracticeChoice | None:
    """What is ticked for a pattern; None where nothing ever was."""
    found: PracticeChoice | None = getattr(pattern, "practice", None)  # read with its pattern
    return found


def practice_record(pattern: Pattern, core: PatternFile, graded: Graded) -> dict[str, Any] | None:
    """The practice piece of a draft; None where nothing is ticked or nothing can be computed."""
    chosen = chosen_practice(pattern)
    if chosen is None or not chosen.techniques:
        return None
    found = piece_record(core, graded, chosen.techniques, in_pdf=chosen.in_pdf)
    return found if found["sheet"] else None


def ticks_of(kept: dict[str, Any]) -> dict[str, Any]:
    """What was ticked for a practice piece, of all that is kept of it."""
    return {part: kept[part] for part in ("techniques", "in_pdf")}


def kept_piece(kept: dict[str, Any], wording: int) -> KeptPiece | None:
    """A practice piece from what is kept of it, in the words of its time; None where it has no sheet."""
    if not kept["sheet"]:
        return None
    sheet = dict(kept["sheet"])
    for part, names in kept["order"].items():
        if part in sheet:
            sheet[part] = {name: sheet[part][name] for name in names}
    core = replace(read_pattern(sheet, trusted=True), wording=wording)
    techniques = tuple(Technique(**one) for one in kept["techniques"])
    sizes, lost = tuple(kept["sizes"]), tuple(kept["lost"])
    return KeptPiece(techniques, grade(core), sizes, lost, kept["in_pdf"], kept.get("is_first", True))


def record_piece(record: Record) -> KeptPiece | None:
    """The practice piece of a version; None where it was frozen without one."""
    kept = record.get("practice")
    return kept_piece(kept, record.get("wording", FIRST_WORDING)) if kept else None
