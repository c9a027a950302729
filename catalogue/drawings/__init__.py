"""Drawings: pieces to scale, nests, where the tape lies, stripes.

May import: materials, drafts, studio.
"""
