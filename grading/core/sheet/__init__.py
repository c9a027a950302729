"""The sheet: its lines in their order, worked out for all sizes, and what is noticed in them.

May import: pattern, shaping, formula.
"""
