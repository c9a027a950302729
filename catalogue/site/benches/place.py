"""How fast testers are placed: against a general solver for integer programmes, and as calls grow."""

import random
from typing import Any

import numpy as np

from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, best_times
from testing.placing.placing import Applicant, SizePlaces, Task, place_testers

ROUNDS = 3
SIZES, FEW, MOST = 24, 1250, 5000
SOLVED = 1250
MOST_SECONDS = 5
PER_NEEDED, PER_PLACE = 10_000.0, 200.0


def measure() -> BenchResult:
    """Measure calls with two applicants for each place."""
    few, most, solved = make_call(FEW), make_call(MOST), make_call(SOLVED)
    programme = Programme(solved)
    _require_same_answer(programme, solved)
    few_s, most_s, ours_s, solver_s = best_times(
        [
            lambda: place_testers(few),
            lambda: place_testers(most),
            lambda: place_testers(solved),
            programme.solve,
        ],
        rounds=ROUNDS,
    )
    return BenchResult(
        "place",
        f"best of {ROUNDS} rounds, in each of which all works take turns",
        {
            f"s for {MOST} applicants x {SIZES} sizes": BenchRatio(most_s, MOST_SECONDS),
            f"time per applicant, {MOST} / {FEW}": BenchRatio(most_s / few_s * FEW / MOST, 1.5),
            f"solver / placing with all reasons, {SOLVED} x {SIZES}": BenchRatio(
                solver_s / ours_s, 1, "at least"
            ),
        },
        {
            "ms": {str(FEW): round(few_s * 1000), str(MOST): round(most_s * 1000)},
            f"ms, {SOLVED} x {SIZES}": {"ours": round(ours_s * 1000), "solver": round(solver_s * 1000)},
        },
    )


def make_call(people: int) -> Task:
    """A call of 24 sizes with one place for two applicants."""
    dice = random.Random(people)  # noqa: S311  invented people
    sizes = tuple(f"{34 + 2 * i}" for i in range(SIZES))
    body = {"bust": [76 + 4 * i for i in range(SIZES)], "hip": [82 + 4 * i for i in range(SIZES)]}
    most = people // SIZES // 2
    places = tuple(SizePlaces(size, most * 2 // 3, most) for size in sizes)
    applicants = []
    for number in range(people):
        near = dice.randrange(SIZES)
        wishes = dict.fromkeys(sizes[min(max(near + d, 0), SIZES - 1)] for d in (0, 1, -1))
        cm = {name: round(cms[near] + dice.gauss(0, 3), 1) for name, cms in body.items()}
        applicants.append(Applicant(f"applicant {number}", cm, tuple(wishes), dice.randint(0, 3)))
    return Task(sizes, body, places, tuple(applicants), 1)


class Programme:
    """The same call as an integer programme: one goal, in which places outweigh costs."""

    def __init__(self, task: Task) -> None:
        """Write down costs and limits; only pairs that the rule allows become variables."""
        people = range(len(task.applicants))
        pairs = [(i, task.sizes.index(wish)) for i in people for wish in task.applicants[i].wishes]
        self.pairs = [pair for pair in pairs if _away_cm(task, *pair) <= 10]
        costs = [_cost_cm(task, *pair) - PER_PLACE for pair in self.pairs]
        self.goal = np.array(costs + [-PER_NEEDED] * len(task.sizes))
        self.needed = [place.at_least for place in task.places]
        self.most = [1.0] * len(people) + [place.at_most for place in task.places]
        self.persons, self.sizes = len(people), len(task.sizes)

    def solve(self) -> float:
        """The best value of the goal."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        count = len(self.pairs)
        rows = [i for i, _ in self.pairs] + [self.persons + s for _, s in self.pairs]
        rows += [self.persons + self.sizes + s for _, s in self.pairs]
        columns = list(range(count)) * 3
        rows += [self.persons + self.sizes + s for s in range(self.sizes)]
        columns += [count + s for s in range(self.sizes)]
        signs = [1.0] * (3 * count) + [-1.0] * self.sizes
        shape = (self.persons + 2 * self.sizes, count + self.sizes)
        limits = coo_array((signs, (rows, columns)), shape=shape).tocsr()
        low = [0.0] * shape[0]
        found: Any = milp(
            self.goal,
            integrality=np.ones(shape[1]),
            bounds=Bounds(np.zeros(shape[1]), [1.0] * count + self.needed),
            constraints=LinearConstraint(limits, low, [*self.most, *[np.inf] * self.sizes]),
            options={"mip_rel_gap": 0},
        )
        return float(found.fun)


def _require_same_answer(programme: Programme, task: Task) -> None:
    """Make sure that both find a placing of the same worth."""
    try:
        theirs = programme.solve()
    except ModuleNotFoundError:
        raise BenchError("The package scipy is missing: install requirements-test.lock.") from None
    placing = place_testers(task)
    ours = float(placing.cost_cm) - PER_PLACE * placing.filled - PER_NEEDED * placing.filled_at_least
    if abs(ours - theirs) > 1e-4:
        raise BenchError(f"The solver finds {theirs}, the placing {ours}: nothing was measured.")


def _away_cm(task: Task, person: int, size: int) -> float:
    """Mean absolute difference of somebody from a size."""
    body = task.applicants[person].body_cm
    return sum(abs(body[name] - cms[size]) for name, cms in task.body_cm.items()) / len(task.body_cm)


def _cost_cm(task: Task, person: int, size: int) -> float:
    """The cost as the rule is written."""
    one = task.applicants[person]
    return _away_cm(task, person, size) + 2 * one.wishes.index(task.sizes[size]) - one.experience
