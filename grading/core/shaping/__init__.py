"""Shaping: stitches taken in and out over rows, along edges and across one row.

Imports no other room.
"""
