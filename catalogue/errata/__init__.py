"""Errata: known mistakes, judged, merged, corrected and guarded.

May import: holders, versions, drafts, studio, models.
"""
