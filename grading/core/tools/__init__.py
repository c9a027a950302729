"""Tools: hooks and needles that hold the widest row.

May import: printing, pattern, formula.
"""
