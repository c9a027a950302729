"""Instructions: steps with their references filled in, terms and abbreviations.

May import: printing, yarn, sheet, pattern, shaping.
"""
