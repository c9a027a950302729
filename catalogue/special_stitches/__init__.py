"""Special stitches: kept by the studio, taken over into patterns, told of when they change.

May import: helps, photos, versions, drawings, drafts, studio, models.
"""
