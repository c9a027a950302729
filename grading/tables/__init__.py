"""Tables that people bring and take away: CSV, XLSX, ODS, or pasted.

May import: core.
"""
