"""Numbers and sentences as the trade prints them.

May import: yarn, pattern, shaping.
"""
