"""The rounds in which pattern errors, fabric, tape and slips are fitted together."""

from dataclasses import dataclass

import numpy as np

from testing.assessment.evidence import Evidence, Floats, plausible_entries
from testing.assessment.fabric import Prediction, State, learn_fabric, predict_entries
from testing.assessment.kinds import FittedKind, fit_kinds
from testing.assessment.readings import Expectation, Lines, read_entries
from testing.assessment.tape import estimate_tape, tape_variance

ROUNDS = 12
SETTLED = 1e-3


@dataclass(frozen=True)
class Fitted:
    """Where the rounds ended."""

    state: State
    belief: Floats  # (4, M) in each kind of verdict
    fits: list[FittedKind]
    lines: Lines
    variance: Floats  # (T, M) of one reading of the tape
    predicted: Floats  # (T, M) what each entry was compared with

    @property
    def weight(self) -> Floats:
        """How much each reading of each entry counts, over all kinds of verdict, (M, T, B)."""
        return _averaged(self.belief, [fit.weight for fit in self.fits])


def fit_together(evidence: Evidence) -> Fitted:
    """Fit everything in rounds until the belief in the verdicts settles."""
    state = _first_state(evidence)
    before: Floats | None = None
    for number in range(ROUNDS):
        variance = tape_variance(state.tape, evidence.expected)
        prediction = predict_entries(evidence, state, variance)
        expectation = Expectation(
            prediction.predicted,
            variance + prediction.added,
            evidence.scale * state.error[evidence.size],
        )
        lines = read_entries(evidence, expectation, state.blunder_share)
        belief, fits = fit_kinds(evidence, lines)
        found = Fitted(state, belief, fits, lines, variance, prediction.predicted)
        _learn(evidence, found, prediction)
        if number:
            learn_fabric(evidence, state, prediction)
        if number > 3 and before is not None and np.abs(belief - before).max() < SETTLED:
            break
        before = belief
    return found


def _first_state(evidence: Evidence) -> State:
    """Nothing wrong, every fabric like its swatch."""
    zero = np.zeros_like(evidence.planned)
    factor = np.zeros((len(evidence.size), evidence.sensitivity.shape[2]))
    return State(error=zero, doubt=zero, factor=factor, good=plausible_entries(evidence))


def _learn(evidence: Evidence, found: Fitted, prediction: Prediction) -> None:
    """Take over the errors, the weights of entries, the tape and the share of slips from a round."""
    state = found.state
    mean = _averaged(found.belief, [fit.mean for fit in found.fits])
    second = _averaged(found.belief, [fit.second for fit in found.fits])
    state.error, state.doubt = mean.T, np.maximum(second - mean**2, 0.0).T
    state.good = found.weight[..., 0].T
    sent = evidence.sent
    left = evidence.measured - prediction.predicted - evidence.scale * state.error[evidence.size]
    # What the fitted error took out of the residuals is put back: its own doubt (as in the EM algorithm).
    left = np.hypot(left, evidence.scale * np.sqrt(state.doubt[evidence.size]))
    state.tape = estimate_tape(left[sent], prediction.added[sent], evidence.expected[sent], state.good[sent])
    slips = float((1 - state.good[sent]).sum())
    state.blunder_share = (slips + 1.5) / (float(sent.sum()) + 50)


def _averaged(belief: Floats, parts: list[Floats]) -> Floats:
    """Average over the kinds of verdict by the belief in each; the first axis of a part is M."""
    return np.asarray(np.einsum("km,km...->m...", belief, np.array(parts)))
