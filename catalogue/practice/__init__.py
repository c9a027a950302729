"""The practice piece of a pattern: ticked, computed, shown, and its recording plan.

May import: versions, drawings, instructions, drafts, studio, models.
"""
