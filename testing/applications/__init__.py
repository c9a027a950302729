"""Applying for a place.

May import: calls, asked, access, models.
"""
