"""How far each garment's real fabric is from its swatch."""

from dataclasses import dataclass

import numpy as np

from testing.assessment.beliefs import (
    BLUNDER_SHARE,
    FABRIC_SD,
    GARMENT_GAUGE_SD,
    NO_SWATCH_SD,
    TAPE_MM,
    TAPE_SHARE,
)
from testing.assessment.evidence import Evidence, Floats

FIRM = 8.0  # how many garments the first belief about swatches counts for


@dataclass
class State:
    """What is believed in a round."""

    error: Floats  # (S, M) of the pattern
    doubt: Floats  # (S, M) variance of that error
    factor: Floats  # (T, K) log of garment gauge over swatch gauge
    good: Floats  # (T, M) how much an entry counts as it stands
    tape: tuple[float, float] = (TAPE_MM, TAPE_SHARE)
    fabric_sd: float = FABRIC_SD
    blunder_share: float = BLUNDER_SHARE


@dataclass(frozen=True)
class Prediction:
    """Each entry as the tester's other entries foretell it, and the fabric factors with all entries."""

    predicted: Floats  # (T, M) mm, without the pattern's error
    added: Floats  # (T, M) variance that the doubt about the fabric adds
    factor: Floats  # (T, K)
    spread: Floats  # (T, K) variance of the factor


def predict_entries(evidence: Evidence, state: State, variance: Floats) -> Prediction:
    """Foretell each entry from the tester's other entries, so that a wrong line can't explain itself away."""
    predicted = evidence.expected * np.exp(np.einsum("tmk,tk->tm", evidence.sensitivity, state.factor))
    slope = predicted[..., None] * evidence.sensitivity
    wanted = evidence.measured - predicted - evidence.scale * state.error[evidence.size]
    wanted = np.where(evidence.sent, wanted, 0.0) + np.einsum("tmk,tk->tm", slope, state.factor)
    weight = np.where(evidence.sent, state.good, 0.0)
    weight = weight / (variance + evidence.scale**2 * state.doubt[evidence.size])
    own = weight[..., None, None] * slope[..., :, None] * slope[..., None, :]
    pull = weight[..., None] * slope * wanted[..., None]
    precision, known = _belief_about_fabric(evidence, state)
    precision, total = precision + own.sum(axis=1), known + pull.sum(axis=1)
    factor = np.linalg.solve(precision, total[..., None])[..., 0]
    rest = precision[:, None] - own
    without = np.linalg.solve(rest, (total[:, None] - pull)[..., None])[..., 0]
    added = np.einsum("tmk,tmk->tm", slope, np.linalg.solve(rest, slope[..., None])[..., 0])
    foretold = predicted + np.einsum("tmk,tmk->tm", slope, without - state.factor[:, None])
    spread = np.einsum("tkk->tk", np.linalg.inv(precision))
    return Prediction(foretold, added, factor, spread)


def _belief_about_fabric(evidence: Evidence, state: State) -> tuple[Floats, Floats]:
    """Precision (T, K, K) and pull (T, K) of what is known before any measurement."""
    gauges = evidence.sensitivity.shape[2]
    counted = np.isfinite(evidence.known_factor)
    firmness = counted / GARMENT_GAUGE_SD**2
    precision = (firmness + 1 / swatch_variance(evidence, state.fabric_sd))[:, :, None] * np.eye(gauges)
    return precision, firmness * np.where(counted, evidence.known_factor, 0.0)


def swatch_variance(evidence: Evidence, fabric_sd: float) -> Floats:
    """How far a garment may be from its swatch, or from the pattern's gauge where none was sent, (T, K)."""
    return np.asarray(np.where(evidence.missing_gauge, fabric_sd**2 + NO_SWATCH_SD**2, fabric_sd**2))


def learn_fabric(evidence: Evidence, state: State, prediction: Prediction) -> None:
    """Take over the factors and estimate their spread from second moments, held by a weak belief."""
    state.factor = prediction.factor
    informed = (np.abs(evidence.sensitivity) * evidence.sent[..., None]).sum(axis=1) > 0
    informed &= ~evidence.missing_gauge
    second = (prediction.factor**2 + prediction.spread)[informed].sum()
    state.fabric_sd = float(np.sqrt((second + FIRM * FABRIC_SD**2) / (informed.sum() + FIRM)))
