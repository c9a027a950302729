"""How far a tape measure strays, estimated from the results."""

import numpy as np

from testing.assessment.beliefs import TAPE_MM, TAPE_SHARE
from testing.assessment.evidence import Floats

FIXED_MM = TAPE_MM * np.geomspace(0.2, 4.0, 25)
GROWING = TAPE_SHARE * np.array([0.0, 0.5, 1.0, 1.5, 2.0, 3.0, 4.5, 7.0])
# Student's t keeps what is not yet explained from inflating the tape. Fitted to normal residuals its scale
# comes out too small: CONSISTENCY is the squared scale c for which E[(f + 1) z² / (f c + z²)] = 1 (derived,
# by a numerical integral over the normal density).
FREEDOM = 7.0
CONSISTENCY = 0.791393


def estimate_tape(residual: Floats, added: Floats, expected: Floats, weight: Floats) -> tuple[float, float]:
    """Fixed (mm) and proportional spread with the highest likelihood on a grid, held by a weak belief.

    All arrays (N,): what is left unexplained, the variance known to be in it, the length, the entry's weight.
    """
    fixed, growing = (grid.ravel() for grid in np.meshgrid(FIXED_MM, GROWING, indexing="ij"))
    likelihood = -0.5 * (np.log(fixed / TAPE_MM) / 0.7) ** 2
    likelihood -= 0.5 * ((growing - TAPE_SHARE) / TAPE_SHARE) ** 2
    for row, (one_fixed, one_growing) in enumerate(zip(fixed, growing, strict=True)):
        variance = CONSISTENCY * (tape_variance((one_fixed, one_growing), expected) + added)
        logs = np.log(variance) + (FREEDOM + 1) * np.log1p(residual**2 / (FREEDOM * variance))
        # No product of vectors: NumPy hands long ones to several threads, which wait for each other here.
        likelihood[row] -= 0.5 * float((weight * logs).sum())
    best = int(likelihood.argmax())
    return float(fixed[best]), float(growing[best])


def tape_variance(tape: tuple[float, float], expected: Floats) -> Floats:
    """Variance of one reading of the tape, mm²: its spread is so many mm, and more on a long piece."""
    return np.asarray((tape[0] + tape[1] * expected) ** 2)
