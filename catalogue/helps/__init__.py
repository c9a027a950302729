"""Helps: how a technique is done, kept by the studio, named by steps, frozen with versions.

May import: photos, versions, instructions, drafts, studio, models.
"""
