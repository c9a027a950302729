"""Sizes: the tables of them, bodies that they serve, and lists of values over them.

May import: tables, entries, grid, sheets, core.
"""
