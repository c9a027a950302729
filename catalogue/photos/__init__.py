"""Photos of a pattern and of its swatches: made clean, put in order, frozen.

May import: versions, drafts, studio, models.
"""
