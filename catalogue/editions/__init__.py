"""Editions: PDFs of a frozen version, made of its record and of nothing else.

May import: helps, practice, photos, versions, drawings, instructions, studio, models.
"""
