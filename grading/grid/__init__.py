"""The sheet as people see it: rows over sizes, and where each number comes from.

May import: sheets, core.
"""
