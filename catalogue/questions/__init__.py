"""Makers' questions: kept without who asked, answered once, and whether there are fewer of them since.

May import: errata, versions, drafts, studio, models.
"""
