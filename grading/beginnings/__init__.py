"""Beginnings: a whole sheet from a construction, a gauge, a size table and an ease.

Imports `grading.sizes` and below. Each construction is a pattern file in `constructions/` with marks that are
filled in: `[[word]]` is a word of the fabric, the craft, the wearer or the construction, `[[word name]]` the
same with `%` in it standing for the name, `[[6 cm|2.5 in]]` a length in either system of units. An entry's
`when` goes by the options that are wanted; an option that is not wanted stays at its default.
"""
