"""Yarn: how much each size takes, how fine it is, its colours and stripes.

May import: sheet, pattern, formula.
"""
