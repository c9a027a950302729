"""Drawings: pieces to scale, nests, where the tape lies, stripes.

May import: materials, sheets, drafts, studio.
"""
