"""Random calls to place, and a solver that knows nothing of ours."""

import random

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from testing.placing.placing import Applicant, SizePlaces, Task


def random_task(seed, *, most_sizes=15, most_people=80, pins=True):
    """A call of 3 to 15 sizes and up to 80 applicants, with ties, crowds and sizes that nobody wants."""
    dice = random.Random(seed)
    count = dice.randint(3, most_sizes)
    sizes = tuple(f"S{i}" for i in range(count))
    names = ["bust", "hip", "arm"][: dice.randint(1, 3)]
    step = dice.choice([4, 5, 6.35])
    body = {name: [70 + 8 * k + step * i for i in range(count)] for k, name in enumerate(names)}
    places = tuple(
        SizePlaces(size, least := dice.randint(0, 3), least + dice.randint(0, 2)) for size in sizes
    )
    crowd = dice.choice([0, count - 1, count // 2])
    people = []
    for number in range(dice.randint(1, most_people)):
        near = min(max(round(dice.gauss(crowd, count / 3)), 0), count - 1)
        near_by = [sizes[(near + d) % count] for d in (0, 1, -1, 2)][: dice.randint(1, 4)]
        wishes = tuple(dict.fromkeys(dice.sample(near_by, len(near_by))))
        grain = dice.choice([0.1, 0.5, 2])
        cm = {n: round((body[n][near] + dice.gauss(0, 4)) / grain) * grain for n in names}
        people.append(Applicant(f"p{number}", cm, wishes, dice.randint(0, 3)))
    if pins:
        people = with_pins(dice, people, places)
    return Task(sizes, body, places, tuple(people), seed)


def with_pins(dice, people, places):
    left = {place.size: place.at_most for place in places}
    for at in dice.sample(range(len(people)), len(people) // 10):
        size = dice.choice(list(left))
        if left[size]:
            left[size] -= 1
            one = people[at]
            people[at] = Applicant(one.key, one.body_cm, one.wishes, one.experience, size)
    return people


def cost_of(task, one, size):
    """The cost as the rule is written."""
    apart = [abs(one.body_cm[name] - cm[task.sizes.index(size)]) for name, cm in task.body_cm.items()]
    rank = one.wishes.index(size) if size in one.wishes else len(one.wishes)
    return sum(apart) / len(apart) + 2 * rank - one.experience


def is_allowed(task, one, size):
    if one.pinned:
        return size == one.pinned
    apart = [abs(one.body_cm[name] - cm[task.sizes.index(size)]) for name, cm in task.body_cm.items()]
    return size in one.wishes and sum(apart) / len(apart) <= 10 + 1e-9


def solved_by_milp(task):
    """Most needed places, most places, lowest cost: three integer programmes, one after another."""
    pairs = [(i, s) for i, one in enumerate(task.applicants) for s in task.sizes if is_allowed(task, one, s)]
    kept = {size: sum(one.pinned == size for one in task.applicants) for size in task.sizes}
    n, m = len(pairs), len(task.sizes)
    rows, low, high = [], [], []

    def limit(row, least, most):
        rows.append(row)
        low.append(least)
        high.append(most)

    for i, one in enumerate(task.applicants):
        row = np.array([pair[0] == i for pair in pairs] + [0] * m, dtype=float)
        limit(row, 1 if one.pinned else 0, 1)
    places = {place.size: place for place in task.places}
    for s, size in enumerate(task.sizes):
        place = places.get(size, SizePlaces(size, 0, 0))
        row = np.array([pair[1] == size for pair in pairs] + [0] * m, dtype=float)
        limit(row, 0, max(place.at_most, kept[size]))
        row = row.copy()
        row[n + s] = -1  # as many needed places count as are filled
        limit(row, 0, np.inf)
    needed = [places.get(size, SizePlaces(size, 0, 0)).at_least for size in task.sizes]
    bounds = Bounds([0] * (n + m), [1] * n + needed)
    costs = np.array([cost_of(task, task.applicants[i], s) for i, s in pairs] + [0] * m)
    goals = [np.array([0] * n + [-1] * m), np.array([-1] * n + [0] * m), costs]
    best = []
    for goal in goals:
        found = milp(
            goal,
            integrality=np.ones(n + m),
            bounds=bounds,
            constraints=LinearConstraint(np.array(rows), low, high),
            options={"mip_rel_gap": 0},
        )
        assert found.success, found.message
        best.append(found.fun)
        if goal is not costs:
            limit(goal.astype(float), -np.inf, round(found.fun))
    return -round(best[0]), -round(best[1]), best[2]


def solved_greedily(task):
    """Take the cheapest pair that is still possible, needed places first."""
    places = {place.size: place for place in task.places}
    taken = {size: sum(one.pinned == size for one in task.applicants) for size in task.sizes}
    placed = {one.key: one.pinned for one in task.applicants if one.pinned}
    pairs = sorted(
        (cost_of(task, one, size), at, size)
        for at, one in enumerate(task.applicants)
        for size in one.wishes
        if not one.pinned and size in places and is_allowed(task, one, size)
    )
    for limit in ("at_least", "at_most"):
        for _, at, size in pairs:
            key = task.applicants[at].key
            if key not in placed and taken[size] < getattr(places[size], limit):
                placed[key] = size
                taken[size] += 1
    return measured(task, placed)


def measured(task, placed):
    """Needed places filled, places filled, cost: counted from who got what."""
    count = {size: sum(given == size for given in placed.values()) for size in task.sizes}
    needed = sum(min(count[place.size], place.at_least) for place in task.places)
    cost = sum(cost_of(task, one, placed[one.key]) for one in task.applicants if one.key in placed)
    return needed, len(placed), cost
