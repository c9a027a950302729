"""The guide: how each part of the work is done, with examples that are worked out as the page is made.

Imports: all parts of the program, since it explains them; nothing imports it but the addresses of the root.
"""
