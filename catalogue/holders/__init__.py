"""Holders of a pattern, the notices that tell them of corrections, and who has bought which PDF.

May import: drafts, versions, materials, studio, models.
"""
