"""Older patterns brought in: a text, pasted or of a file, becomes a draft with values in place of its lists.

May import: drafts, studio, models.
"""
