"""What is believed before any result is seen.

In words: most lines of a pattern are right; a wrong one is wrong by a few tolerances; a tape is read to about
half a centimetre; a swatch is a few per cent off the garment; about three entries in a hundred are slips.
Tape, swatches and slips are only where the estimate starts: they are estimated from the results (common
practice).
"""

import math

HOLDS, SHIFT, SLOPE, SIZES = range(4)
VERDICTS = ("holds", "shift", "slope", "sizes")
LOG_PRIOR = (math.log(0.7), math.log(0.1), math.log(0.1), math.log(0.1))
ERROR_IN_TOLERANCES = 3.0

TAPE_MM = 5.0
TAPE_SHARE = 0.003
TAPE_STEP_MM = 5.0  # entries are rounded to half a centimetre
FABRIC_SD = 0.02
GARMENT_GAUGE_SD = 0.01  # a gauge counted on the finished garment

NO_SWATCH_SD = 0.05  # how far makers are off the pattern's gauge before they have made a swatch

BLUNDER_SHARE = 0.03
JUNK_SHARE = 0.002  # entries that are none of the known slips

SURE = 0.7
SURE_ALONE = 0.95  # a size that one tester made alone may as well be that tester's slip
LIKELY = 0.5
Z90 = 1.6448536269514722  # half width of a 90 % interval in standard deviations
