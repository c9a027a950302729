"""Drafts: patterns on the desk, loaded, edited by one path, undone.

May import: studio, models.
"""
