"""Materials: yarns, shades and tools of the studio, and which a pattern uses.

May import: drafts, studio, models.
"""
