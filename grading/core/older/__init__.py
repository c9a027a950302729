"""Older patterns: a text as somebody once wrote it, read into sizes, sections, steps and lists of numbers.

Nothing is guessed silently: what is read is proposed with its reason; the rest stays as typed and is listed.

May import: formula.
"""
