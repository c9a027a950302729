"""Grading: every number of a pattern for every size, and all that is to be noticed.

May import: stitch_patterns, audit, instructions, printing, yarn, sheet, pattern, shaping, formula.
"""
