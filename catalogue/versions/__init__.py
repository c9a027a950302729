"""Versions: frozen records, their numbers, and what changed between them.

May import: materials, instructions, drafts, studio, models.
"""
