"""Seating people on limited seats at the lowest total cost, exactly; pure.

Shortest augmenting paths on the residual network, with sizes as its nodes: one node per size, one for
everybody outside, one for the seats that are still free. People are only looked at where the cheapest move
from one node to another is needed, so thousands of them cost little.

Source: R. K. Ahuja, T. L. Magnanti, J. B. Orlin, Network Flows (1993), chapter 9, from memory.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Costs = NDArray[np.int64]

# No seat at all; two of them still add up without overflow.
BLOCKED = np.int64(2**61)
_REACHABLE = np.int64(2**60)


@dataclass(frozen=True)
class Seats:
    """The seats of one size: needed, most, and how many are kept for somebody already."""

    at_least: int
    at_most: int
    kept: int = 0


class Seating:
    """Who sits where: most needed seats first, then most seats, then the lowest total cost."""

    def __init__(self, costs: Costs, seats: list[Seats]) -> None:
        """Take the cost of each person (row) in each size (column), BLOCKED where it can't be."""
        self.costs, self.seats = costs, seats
        self.sizes = len(seats)
        self.outside, self.free = self.sizes, self.sizes + 1
        reachable = np.abs(costs[costs < _REACHABLE])
        # A seat outweighs every exchange of people, a needed seat every exchange of seats.
        self.per_seat = 2 * (self.sizes + 3) * (int(reachable.max(initial=0)) + 1)
        self.per_needed_seat = 4 * self.per_seat
        self.seat_of = np.full(len(costs), self.outside)
        self.members: list[list[int]] = [[] for _ in seats]
        self.queues = [np.argsort(costs[:, size], kind="stable") for size in range(self.sizes)]
        self.heads = [0] * self.sizes
        self.moves = np.full((self.sizes + 2, self.sizes + 2), BLOCKED, dtype=np.int64)
        self.movers = np.zeros((self.sizes + 2, self.sizes + 2), dtype=np.int64)

    def solve(self) -> None:
        """Seat people one after another, each time by the cheapest chain of moves."""
        for size in range(self.sizes):
            self._look_at_seats(size)
            self._look_outside(size)
        while chain := self._cheapest_chain():
            self._move(chain)

    def exchange_costs(self) -> Costs:
        """What the cheapest chain of moves costs from each node to each other, once solved."""
        costs = self.moves.copy()
        for size in range(self.sizes):
            if people := self.members[size]:
                costs[size, self.outside] = -self.costs[people, size].max()
                costs[self.free, size] = self._worth(size, self._count(size) - 1)
        costs[self.outside, self.free] = costs[self.free, self.outside] = 0  # one seat more or fewer in all
        np.fill_diagonal(costs, 0)
        for by in range(self.sizes + 2):
            through = costs[:, by, None] + costs[None, by, :]
            costs = np.minimum(costs, np.where(through < _REACHABLE, through, BLOCKED))
        return costs

    def _count(self, size: int) -> int:
        """How many sit in a size."""
        return self.seats[size].kept + len(self.members[size])

    def _worth(self, size: int, taken: int) -> int:
        """What the next seat of a size is worth after some are taken."""
        return self.per_needed_seat if taken < self.seats[size].at_least else self.per_seat

    def _look_at_seats(self, size: int) -> None:
        """Note what the next free seat of a size brings."""
        taken = self._count(size)
        is_free = taken < self.seats[size].at_most
        self.moves[size, self.free] = -self._worth(size, taken) if is_free else BLOCKED

    def _look_outside(self, size: int) -> None:
        """Note who comes into a size from outside most cheaply."""
        queue, head = self.queues[size], self.heads[size]
        while head < len(queue) and self.seat_of[queue[head]] != self.outside:
            head += 1
        self.heads[size] = head
        if head < len(queue):
            self.movers[self.outside, size] = queue[head]
            self.moves[self.outside, size] = self.costs[queue[head], size]
        else:
            self.moves[self.outside, size] = BLOCKED

    def _look_at_members(self, size: int) -> None:
        """Note who leaves a size for each other size most cheaply."""
        people = np.array(self.members[size], dtype=np.int64)
        differences = self.costs[people] - self.costs[people, size][:, None]
        cheapest = differences.argmin(axis=0)
        self.movers[size, : self.sizes] = people[cheapest]
        self.moves[size, : self.sizes] = np.minimum(differences.min(axis=0), BLOCKED)
        self.moves[size, size] = BLOCKED

    def _cheapest_chain(self) -> list[int]:
        """The nodes of the cheapest way from outside to a free seat; none when no seat can be filled."""
        costs = self.moves[self.outside].copy()
        before = np.full(self.sizes + 2, self.outside)
        nodes = np.arange(self.sizes + 2)
        for _ in range(self.sizes):
            through = costs[:, None] + self.moves
            best = through.argmin(axis=0)
            is_shorter = through[best, nodes] < np.minimum(costs, _REACHABLE)
            if not is_shorter.any():
                break
            costs = np.where(is_shorter, through[best, nodes], costs)
            before[is_shorter] = best[is_shorter]
        return self._chain_to(before) if costs[self.free] < _REACHABLE else []

    def _chain_to(self, before: NDArray[np.int64]) -> list[int]:
        """Follow the way back from the free seat."""
        chain = [self.free]
        while chain[-1] != self.outside:
            chain.append(int(before[chain[-1]]))
        return chain[::-1]

    def _move(self, chain: list[int]) -> None:
        """Move one person along each step of a chain."""
        steps = list(pairwise(chain[:-1]))
        movers = [int(self.movers[step]) for step in steps]
        for person, (source, target) in zip(movers, steps, strict=True):
            if source != self.outside:
                self.members[source].remove(person)
            self.members[target].append(person)
            self.seat_of[person] = target
        for size in chain[1:-1]:
            self._look_at_members(size)
        for size in range(self.sizes):
            if self.queues[size][self.heads[size]] == movers[0]:
                self._look_outside(size)
        self._look_at_seats(chain[-2])
