"""Workbooks with live formulas, and numbers as files.

May import: tables, core.
"""
