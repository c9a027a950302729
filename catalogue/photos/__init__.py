"""Photos of a pattern: made clean, put in order, frozen.

May import: versions, drafts, studio, models.
"""
