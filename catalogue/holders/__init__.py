"""Holders of a pattern, and the notices that tell them of corrections.

May import: versions, studio, models.
"""
