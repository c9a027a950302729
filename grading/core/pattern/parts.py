"""The parts of a pattern file, each from its JSON entry to what the calculation works with."""

from collections.abc import Sequence
from typing import Any

from grading.core.formula.errors import PatternFileError
from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.pattern.entries import (
    read_list,
    read_number,
    read_quantity,
    read_rounding,
    read_share,
    read_steps,
    read_swatch_weight,
    read_weight,
    read_when,
    read_yarn_length,
    require_count,
)
from grading.core.pattern.pattern import (
    OVER_MM,
    BodyEntry,
    CheckEntry,
    CurveEntry,
    FabricEntry,
    JoinEdge,
    JoinEntry,
    Measured,
    NotionEntry,
    OptionEntry,
    PickUpEntry,
    PieceCurve,
    PieceDimension,
    PieceEntry,
    PieceSide,
    SectionEntry,
    Settled,
    ShapingEntry,
    SpecialStitchEntry,
    SpreadEntry,
    StitchPatternEntry,
    StripesEntry,
    Swatch,
    ValueEntry,
    YarnByChoice,
    YarnEntry,
    YarnSectionEntry,
)
from grading.core.shaping.curves import default_rows_per_step
from grading.core.shaping.pick_ups import parse_ratio

Typed = dict[str, Any]

# Edges that differ by more than this gather or pull. Source: common practice.
JOIN_TOLERANCE = 0.05


def read_body_measurement(name: str, typed: Typed, sizes: Sequence[str], path: str) -> BodyEntry:
    """Return a body measurement in mm."""
    require_count(typed["values"], len(sizes), f"{path}.values")
    mm = LENGTH_UNITS_MM[typed["unit"]]
    entries = tuple(
        None if entry is None else read_number(entry, f"{path}.values[{i}]") * mm
        for i, entry in enumerate(typed["values"])
    )
    return BodyEntry(name, typed["label"], typed["unit"], entries)


def read_fabric(name: str, typed: Typed, path: str) -> FabricEntry:
    """Return a fabric."""
    swatch = None
    if "swatch" in typed:
        of = typed["swatch"]
        weight_g = read_swatch_weight(of, f"{path}.swatch")
        swatch = Swatch(float(of["stitches"]), float(of["rows"]), weight_g, of.get("computed", False))
    return FabricEntry(
        name,
        typed["label"],
        read_number(typed["stitches"], f"{path}.stitches"),
        read_number(typed["rows"], f"{path}.rows"),
        OVER_MM[typed["over"]],
        typed.get("multiple", 1),
        typed.get("plus", 0),
        typed.get("tool_mm"),
        swatch,
    )


def read_value(typed: Typed, sizes: Sequence[str], path: str) -> ValueEntry:
    """Return a line of the sheet.

    Raises:
        PatternFileError: An entry does not fit its kind, or a note is missing.
    """
    kind, entries, source = typed["kind"], None, "formula"
    if "list" in typed:
        entries, source = read_list(typed["list"], kind, len(sizes), f"{path}.list"), "list"
    elif "steps" in typed:
        entries, source = read_steps(typed["steps"], kind, sizes, f"{path}.steps"), "steps"
    for key in ("may_shrink", "may_jump"):
        if typed.get(key) and not typed.get("note", "").strip():
            raise PatternFileError(f"{path}.{key}", f"“{key}” needs a note that says why.")
    return ValueEntry(
        typed["name"],
        label_of(typed),
        kind,
        typed.get("formula"),
        entries,
        source,  # type: ignore[arg-type]
        read_rounding(typed["round"], kind, f"{path}.round") if "round" in typed else None,
        _read_measured(typed["measured"], kind, f"{path}.measured") if "measured" in typed else None,
        typed.get("may_shrink", False),
        typed.get("may_jump", False),
        typed.get("note"),
        _read_settled(typed, sizes, path),
    )


def _read_settled(typed: Typed, sizes: Sequence[str], path: str) -> tuple[Settled, ...]:
    """Return what was noticed and is right as it is.

    Raises:
        PatternFileError: It names a size that there is not, or gives no reason.
    """
    found = []
    for i, one in enumerate(typed.get("settled", ())):
        gone = next((size for size in one["sizes"] if size not in sizes), None)
        if gone is not None:
            raise PatternFileError(f"{path}.settled[{i}]", f"“{gone}” is not one of the sizes.")
        if not one["why"].strip():
            raise PatternFileError(f"{path}.settled[{i}]", "Write why it is right, in a few words.")
        found.append(Settled(one.get("what", ""), tuple(one["sizes"]), one["why"]))
    return tuple(found)


def label_of(typed: Typed) -> str:
    """Return what people read of a value; one without a label is read by its name.

    Args:
        typed: The entry of the value as typed.

    Returns:
        Its label, or its name in words.

    Example:
        >>> label_of({"name": "neck_depth"})
        'neck depth'
    """
    return str(typed.get("label") or typed["name"].replace("_", " "))


def _read_measured(typed: Typed, kind: str, path: str) -> Measured:
    """Return how a finished measurement is taken."""
    tolerance = read_quantity(typed["tolerance"], kind, f"{path}.tolerance")
    if tolerance < 0:
        raise PatternFileError(f"{path}.tolerance", "The tolerance must be 0 or more.")
    if "ease" in typed and "compares_to" not in typed:
        raise PatternFileError(path, "“ease” needs “compares_to”: the body measurement it is measured from.")
    ease = None
    if "ease" in typed:
        least, most = (
            read_quantity(end, "length", f"{path}.ease[{i}]") for i, end in enumerate(typed["ease"])
        )
        if least > most:
            raise PatternFileError(
                f"{path}.ease", "Write the least ease first: it must not be more than the most."
            )
        ease = (least, most)
    return Measured(typed["how"], tolerance, typed["around"], typed.get("compares_to"), ease)


def read_check(typed: Typed, sizes: Sequence[str], path: str) -> CheckEntry:
    """Return a check.

    Raises:
        PatternFileError: It stops, and is said to be right where it does not hold.
    """
    if typed["weight"] == "stop" and typed.get("settled"):
        says = "A check that stops the pattern can’t be settled: correct the lines, or let it only warn."
        raise PatternFileError(f"{path}.settled", says)
    settled = _read_settled(typed, sizes, path)
    return CheckEntry(typed["name"], typed["holds"], typed["says"], typed["weight"], settled)


def read_shaping(typed: Typed) -> ShapingEntry:
    """Return a shaping."""
    return ShapingEntry(
        typed["name"],
        typed["from"],
        typed["to"],
        typed["over"],
        typed["each"],
        typed.get("on_every", 1),
        typed.get("first"),
        typed.get("plain_end", 0),
        typed.get("rounds", False),
        typed.get("words"),
    )


def read_spread(typed: Typed) -> SpreadEntry:
    """Return a spread."""
    return SpreadEntry(typed["name"], typed["change"], typed["in"], typed.get("of", ""), typed.get("each", 1))


def read_curve(typed: Typed, craft: str) -> CurveEntry:
    """Return a curve."""
    every = typed.get("every", default_rows_per_step(craft))
    return CurveEntry(
        typed["name"], typed["width"], typed["depth"], typed["shape"], every, typed.get("fabric")
    )


def read_pick_up(typed: Typed, path: str) -> PickUpEntry:
    """Return a pick-up."""
    ratio = parse_ratio(typed["ratio"])
    if ratio is None:
        raise PatternFileError(f"{path}.ratio", f"“{typed['ratio']}” is not a ratio such as “3 per 4”.")
    rounding = read_rounding(typed["round"], "stitches", f"{path}.round") if "round" in typed else None
    return PickUpEntry(
        typed["name"],
        typed["along"],
        typed["count"],
        ratio.stitches,
        ratio.per,
        rounding,
        typed.get("edge"),
        typed.get("fabric"),
    )


def read_stripes(typed: Typed) -> StripesEntry:
    """Return a stripe sequence."""
    sequence = tuple((colour, rows) for colour, rows in typed["sequence"])
    return StripesEntry(
        typed["name"],
        sequence,
        typed.get("start", 0),
        typed.get("change", "row start"),
        float(typed.get("forward_share", 0.5)),
    )


def read_option(typed: Typed, path: str) -> OptionEntry:
    """Return an option.

    Raises:
        PatternFileError: The default is not one of the choices.
    """
    if typed["default"] not in typed["choices"]:
        raise PatternFileError(f"{path}.default", f"“{typed['default']}” is not one of the choices.")
    return OptionEntry(typed["name"], typed["label"], tuple(typed["choices"]), typed["default"])


def read_yarn(typed: Typed, path: str) -> YarnEntry:
    """Return a yarn role."""
    length = (
        read_yarn_length(typed["length_per_100g"], f"{path}.length_per_100g")
        if "length_per_100g" in typed
        else None
    )
    put_up = read_weight(typed["put_up"], f"{path}.put_up") if "put_up" in typed else None
    weight = typed.get("yarn_weight")
    return YarnEntry(typed["colour"], typed["label"], length, put_up, typed.get("shade"), weight)


def read_yarn_section(typed: Typed, path: str) -> YarnSectionEntry:
    """Return a section whose yarn is counted.

    Raises:
        PatternFileError: A choice is in stripes, and the part has no rows for them.
    """
    by_choice = tuple(
        YarnByChoice(one["option"], one["choice"], one.get("colour"), one.get("stripes"))
        for one in typed.get("by_choice", ())
    )
    if "rows" not in typed and any(one.stripes for one in by_choice):
        says = "Stripes of a choice need the rows of the part: choose their line, or type a number."
        raise PatternFileError(f"{path}.rows", says)
    return YarnSectionEntry(
        typed["name"],
        typed["fabric"],
        typed["worked"],
        typed.get("colour"),
        typed.get("stripes"),
        typed.get("rows"),
        read_when(typed.get("when")),
        typed.get("extra"),
        by_choice,
    )


def read_piece(typed: Typed) -> PieceEntry:
    """Return a piece to scale."""
    curves = [
        PieceCurve(one, 0, 0)
        if isinstance(one, str)
        else PieceCurve(one.get("curve"), one["from"], one["to"])
        for one in typed.get("curves", ())
    ]
    lines = [PieceDimension(one["value"], one["from"], one["to"]) for one in typed.get("dimensions", ())]
    sides = [PieceSide(one["name"], one["from"], one["to"]) for one in typed.get("sides", ())]
    corners = tuple((x, y) for x, y in typed["outline"])
    return PieceEntry(
        typed["name"],
        typed["label"],
        corners,
        read_when(typed.get("when")),
        tuple(curves),
        tuple(lines),
        typed.get("direction"),
        tuple(sides),
    )


def read_join(typed: Typed, path: str) -> JoinEntry:
    """Return edges that are joined.

    Raises:
        PatternFileError: The tolerance is no share, or the least ease is more than the most.
    """
    tolerance = JOIN_TOLERANCE
    if "tolerance" in typed:
        tolerance = read_share(typed["tolerance"], f"{path}.tolerance", "tolerance")
    ends = [
        read_quantity(end, "length", f"{path}.ease[{i}]")
        for i, end in enumerate(typed.get("ease", ("0 cm", "0 cm")))
    ]
    if ends[0] > ends[1]:
        raise PatternFileError(
            f"{path}.ease", "Write the least ease first: it must not be more than the most."
        )
    return JoinEntry(
        typed["name"],
        label_of(typed),
        _read_edges(typed["edges"]),
        _read_edges(typed["onto"]),
        tolerance,
        (ends[0], ends[1]),
        read_when(typed.get("when")),
    )


def _read_edges(typed: list[Typed]) -> tuple[JoinEdge, ...]:
    """Return the edges on one side of a join."""
    return tuple(JoinEdge(one["edge"], one.get("times", 1), one.get("fabric")) for one in typed)


def read_notion(typed: Typed) -> NotionEntry:
    """Return something else that is needed."""
    return NotionEntry(typed["label"], typed["count"], typed.get("size"), read_when(typed.get("when")))


def read_section(typed: Typed) -> SectionEntry:
    """Return a section of the instructions."""
    return SectionEntry(typed["title"], tuple(typed["steps"]), read_when(typed.get("when")))


def read_stitch_pattern(typed: Typed) -> StitchPatternEntry:
    """Return a stitch pattern."""
    return StitchPatternEntry(
        typed["name"],
        typed["label"],
        typed["multiple"],
        typed.get("plus", 0),
        tuple(typed.get("rows", ())),
        tuple(typed.get("grid", ())),
        typed.get("craft"),
        typed.get("rounds", False),
        typed.get("first_side", "RS"),
        typed.get("stitch"),
        tuple(typed.get("over", ())),
        typed.get("left_over"),
        typed.get("introduction"),
    )


def read_special_stitch(typed: Typed) -> SpecialStitchEntry:
    """Return a special stitch, with the rows of its chart where it has some."""
    shown = read_stitch_pattern({"multiple": 1, **typed}) if typed.get("rows") else None
    return SpecialStitchEntry(typed["name"], typed["label"], typed["short"], typed["method"], shown)
