"""Forms of the sheet: one entry at a time, read from the schema of pattern files.

May import: grid, sheets, core.
"""
