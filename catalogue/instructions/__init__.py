"""Instructions: sections and steps, written, and as printed.

May import: drafts, studio, models.
"""
