"""Stitch patterns: rows as written or a grid of colours, from which both the words and the chart are made.

`recording` works a row with the count audit's own worker and keeps each stitch that is made; `charts` puts
the rows together, finds the repeat and says which rows stay in words; `grids` reads grids of colours;
`symbols` are the published signs, each with the abbreviations that it stands for; `written` gives the rows in
words, and `fits` says how often each size works the repeat, and which don't come out.

May import: audit, instructions, pattern.
"""
