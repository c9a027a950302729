"""The technical edit: an editor asks, the studio answers, a state is signed off.

May import: versions, instructions, sheets, drafts, studio, models.
"""
