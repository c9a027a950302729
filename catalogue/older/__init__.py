"""Older patterns brought in: a pasted text becomes a draft, with values in place of its lists of numbers.

May import: drafts, studio, models.
"""
