"""Edges of joins in words: by the labels that people gave their pieces and lines."""

from collections.abc import Mapping, Sequence

from grading.core.pattern.pattern import JoinEdge, PatternFile


def said(name: str) -> str:
    """Return a name as words.

    Args:
        name: A name as formulas write it.

    Returns:
        The same with spaces.

    Source: derived.

    >>> said("front_band")
    'front band'
    """
    return name[:80].replace("_", " ")


def edge_labels(pattern: PatternFile) -> dict[str, str]:
    """Return what people read for names that edges are written with.

    Args:
        pattern: The pattern.

    Returns:
        The labels of values and of pieces by their names; a piece before a value of the same name.

    Source: derived.
    """
    return {one.name: one.label for one in pattern.values} | {one.name: one.label for one in pattern.pieces}


def edge_said(edge: JoinEdge, labels: Mapping[str, str]) -> str:
    """Return one edge in words, without how often it is there.

    Args:
        edge: The edge.
        labels: What `edge_labels` says.

    Returns:
        A side with its piece, or a line; pick-ups and sides, which have no labels, by their names.

    Source: derived.

    >>> edge_said(JoinEdge("front.armhole"), {"front": "Left front"})
    'Left front: armhole'
    """
    owner, _, side = edge.edge.rpartition(".")
    return f"{labels.get(owner, said(owner))}: {said(side)}" if owner else labels.get(side, said(side))


def edges_said(edges: Sequence[JoinEdge], labels: Mapping[str, str]) -> str:
    """Return edges in words.

    Args:
        edges: Edges of one side of a join.
        labels: What `edge_labels` says.

    Returns:
        Each edge, quoted; those that are there more than once with how often.

    Source: derived.

    >>> labels = {"front": "Left front", "band_side": "Band along its side"}
    >>> edges_said((JoinEdge("front.armhole"), JoinEdge("band_side", 2)), labels)
    '“Left front: armhole” and 2 × “Band along its side”'
    """
    words = []
    for edge in edges:
        name = edge_said(edge, labels)
        words.append(f"{edge.times} × “{name}”" if edge.times > 1 else f"“{name}”")
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
