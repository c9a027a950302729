"""Every entry under every reading: as it stands, or as one of the known slips."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from grading.core.formula.literals import MM_PER_INCH
from testing.assessment.beliefs import JUNK_SHARE, TAPE_STEP_MM
from testing.assessment.evidence import Evidence, Floats

READINGS = ("", "inches", "flat", "doubled", "digits")
FACTORS = np.array([1.0, MM_PER_INCH / 10, 2.0, 0.5, 1.0])
# How the share of slips is divided: inches and flat are the common ones (common practice).
PARTS = np.array([np.nan, 0.45, 0.45, 0.1, 0.1])
NEIGHBOUR_PART = 0.1


@dataclass(frozen=True)
class Lines:
    """All entries by measurement; an entry that was not sent weighs nothing."""

    one_hot: Floats  # (T, S)
    scale: Floats  # (M, T)
    residual: Floats  # (M, T, B) entry under each reading less what is expected of the tester
    variance: Floats  # (M, T, B)
    log_share: Floats  # (M, T, B) log prior of the reading, with its change of scale
    junk: Floats  # (M, T) log density of an entry that does not speak of this measurement
    neighbour: Floats  # (2, M, T) the part of it that is the value of the line before, and after

    @cached_property
    def planes(self) -> tuple[Floats, Floats, Floats]:
        """Reading by reading, each (B, M, T): residual, precision, and the log density of a perfect fit."""
        residual, variance, share = (
            np.ascontiguousarray(np.moveaxis(part, -1, 0))
            for part in (self.residual, self.variance, self.log_share)
        )
        return residual, 1 / variance, share - 0.5 * np.log(2 * np.pi * variance)


@dataclass(frozen=True)
class Expectation:
    """What each entry should be without an error of the pattern, and its variance, (T, M) in mm and mm²."""

    predicted: Floats
    variance: Floats
    error: Floats  # (T, M) what the pattern's error is believed to add


def read_entries(evidence: Evidence, expectation: Expectation, blunder_share: float) -> Lines:
    """Set up every entry under every reading."""
    entry = evidence.measured.T
    read = entry[..., None] * FACTORS
    read[..., 2] = np.where(evidence.around[:, None], read[..., 2], np.nan)
    read[..., 4] = evidence.swapped.T
    read[..., 1:] = np.where(evidence.confirmed.T[..., None], np.nan, read[..., 1:])
    known = np.isfinite(read)
    share = blunder_share * PARTS
    share[0] = 1 - blunder_share - JUNK_SHARE
    neighbour = _neighbours(evidence, expectation, blunder_share * NEIGHBOUR_PART)
    wild = np.log(JUNK_SHARE) - np.log(3 * np.maximum(expectation.predicted.T, 1.0))
    junk = np.logaddexp(wild, np.logaddexp(neighbour[0], neighbour[1]))
    # An entry to the nearest half centimetre is coarser once it is multiplied.
    coarser = (FACTORS**2 - 1) * TAPE_STEP_MM**2 / 12
    variance = np.maximum(expectation.variance.T[..., None] + coarser, 1e-6)
    return Lines(
        one_hot=evidence.one_hot,
        scale=evidence.scale.T,
        residual=np.where(known, read - expectation.predicted.T[..., None], 0.0),
        variance=variance,
        log_share=np.where(known, np.log(share) + np.log(FACTORS), -np.inf),
        junk=np.where(np.isfinite(entry), junk, 0.0),
        neighbour=neighbour,
    )


def _neighbours(evidence: Evidence, expectation: Expectation, share: float) -> Floats:
    """Log density of each entry as the value of the line before and of the line after, (2, M, T)."""
    columns, testers = evidence.measured.shape[::-1]
    found = np.full((2, columns, testers), -np.inf)
    full = (expectation.predicted + expectation.error).T
    for side, here, there in ((0, slice(1, None), slice(None, -1)), (1, slice(None, -1), slice(1, None))):
        off = evidence.measured.T[here] - full[there]
        logs = np.log(share / 2) + log_normal(off, expectation.variance.T[there])
        able = np.isfinite(off) & ~evidence.confirmed.T[here]
        found[side, here] = np.where(able, logs, -np.inf)
    return found


def log_normal(residual: Floats, variance: Floats) -> Floats:
    """Log density of a centred normal."""
    return np.asarray(-0.5 * (np.log(2 * np.pi * variance) + residual**2 / variance))


def weigh_readings(lines: Lines, error: Floats) -> tuple[Floats, Floats]:
    """Weight of each reading (…, M, T, B) and log density (…, M, T), given errors (…, M, S) in mm."""
    parts, total, top = _densities(lines, error)
    weight = np.stack([part / total for part in parts], axis=-1)
    return weight, top + np.log(total)


def pulls(lines: Lines, error: Floats) -> tuple[Floats, Floats]:
    """What the entries of each size say of its error: pull and hold, each (…, M, S)."""
    parts, total, _ = _densities(lines, error)
    residual, precision, _ = lines.planes
    pull, hold = np.zeros_like(total), np.zeros_like(total)
    for part, left, firm in zip(parts, residual, precision, strict=True):
        share = part * firm
        hold += share
        pull += share * left
    scale = lines.scale / total
    return (scale * pull) @ lines.one_hot, (scale * lines.scale * hold) @ lines.one_hot


def _densities(lines: Lines, error: Floats) -> tuple[list[Floats], Floats, Floats]:
    """Density of each reading over the greatest of them, their sum with junk, and the log of the greatest.

    Reading by reading: sums over a last axis of five are many times slower.
    """
    shift = lines.scale * (error @ lines.one_hot.T)
    residual, precision, perfect = lines.planes
    parts = [
        np.asarray(best - 0.5 * firm * (left - shift) ** 2)
        for left, firm, best in zip(residual, precision, perfect, strict=True)
    ]
    top = np.broadcast_to(lines.junk, shift.shape).copy()
    for logs in parts:
        np.maximum(top, logs, out=top)
    total = np.exp(lines.junk - top)
    for logs in parts:
        logs -= top
        np.exp(logs, out=logs)
        total += logs
    return parts, total, top
