"""Is it the pattern, the gauge or the tape? Arrays in, verdicts out; pure.

What a tester measured differs from what their counts give at their own gauge for four reasons, which are
fitted together:

* the pattern is wrong by some millimetres in some sizes (a shift, a slope over the sizes, or single sizes);
* the garment's real fabric differs from the swatch: one factor per tester, fabric and direction, shared by
  all measurements of that direction, as strongly as each depends on that gauge;
* the tape: a spread with a fixed part and a part that grows with the length, estimated from the data;
* blunders: inches for centimetres, a width laid flat, doubled, the neighbouring line, digits swapped.

Letters in the shapes of arrays: T testers, M measurements, S sizes, K gauges (fabric and direction),
B readings.

May import: asked, access, models.
"""
