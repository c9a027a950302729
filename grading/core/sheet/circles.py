"""The order in which lines are worked out, and circles in which a line hangs on itself."""

from collections.abc import Hashable, Mapping, Sequence
from typing import TypeVar

Line = TypeVar("Line", bound=Hashable)


def order_of(needs: Sequence[Sequence[int]]) -> tuple[list[int], list[list[int]]]:
    """Return an order in which each line comes after all it needs, and the circles.

    Args:
        needs: For each line, the lines that it needs, by number.

    Returns:
        The lines that can be worked out, in order; and one path for each knot of lines that hang on each
        other, from its first line in the file round to just before that line again. Lines in or behind a
        circle are in no order. Nothing recurses: chains may be thousands long.

    Source: Kahn's topological order, from memory.

    >>> order_of([[1], [], [3], [2]])
    ([1, 0], [[2, 3]])
    """
    waiting = [len(set(need)) for need in needs]
    users: list[list[int]] = [[] for _ in needs]
    for line, need in enumerate(needs):
        for other in set(need):
            users[other].append(line)
    order = [line for line, count in enumerate(waiting) if count == 0]
    for line in order:  # grows while it is walked
        for user in users[line]:
            waiting[user] -= 1
            if waiting[user] == 0:
                order.append(user)
    done = set(order)
    stuck = [line for line in range(len(needs)) if line not in done]
    return order, _circles(needs, stuck)


def _circles(needs: Sequence[Sequence[int]], stuck: Sequence[int]) -> list[list[int]]:
    """Return one circle for each knot among the lines that could not be ordered."""
    among = set(stuck)
    inner = {line: [other for other in needs[line] if other in among] for line in stuck}
    found = [knot for knot in knots(inner) if len(knot) > 1 or knot <= set(inner[min(knot)])]
    return [_shortest_circle(needs, knot) for knot in sorted(found, key=min)]


def knots(needs: Mapping[Line, Sequence[Line]]) -> list[set[Line]]:
    """Return the sets of lines that hang on each other, each after all that it needs.

    Args:
        needs: For each line, the lines that it needs.

    Returns:
        Every line once: alone, or with all lines on the same circles.

    Source: Tarjan's strongly connected components, from memory.

    >>> knots({1: [2], 2: [1, 3], 3: []})
    [{3}, {1, 2}]
    """
    index: dict[Line, int] = {}
    low: dict[Line, int] = {}
    path: list[Line] = []
    on_path: set[Line] = set()
    found: list[set[Line]] = []
    for root in needs:
        work = [(root, 0)] if root not in index else []
        while work:
            line, at = work.pop()
            if at == 0:
                index[line] = low[line] = len(index)
                path.append(line)
                on_path.add(line)
            elif (done := needs[line][at - 1]) in on_path:
                low[line] = min(low[line], low[done])
            while at < len(needs[line]) and needs[line][at] in index:
                if needs[line][at] in on_path:
                    low[line] = min(low[line], index[needs[line][at]])
                at += 1
            if at < len(needs[line]):
                work += [(line, at + 1), (needs[line][at], 0)]
            elif low[line] == index[line]:
                found.append(_cut_off(path, on_path, line))
    return found


def _cut_off(path: list[Line], on_path: set[Line], line: Line) -> set[Line]:
    """Take a finished knot off the path."""
    knot: set[Line] = set()
    while line not in knot:
        knot.add(path.pop())
    on_path -= knot
    return knot


def _shortest_circle(needs: Sequence[Sequence[int]], knot: set[int]) -> list[int]:
    """Return the shortest path from the first line of a knot back to it."""
    first = min(knot)
    came_from: dict[int, int] = {}
    reached = [first]
    for line in reached:  # grows while it is walked
        for other in needs[line]:
            if other == first:
                return _walk_back(came_from, line, first)
            if other in knot and other not in came_from:
                came_from[other] = line
                reached.append(other)
    return [first]


def _walk_back(came_from: dict[int, int], line: int, first: int) -> list[int]:
    """Return the path from the first line to another."""
    path = [line]
    while path[-1] != first:
        path.append(came_from[path[-1]])
    return path[::-1]
