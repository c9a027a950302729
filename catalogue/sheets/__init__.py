"""Pages of the sheet: its grid, entries, sizes, size tables, files and yarn.

May import: drafts, studio, models.
"""
