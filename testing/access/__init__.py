"""What each person may see of the calls, and what their pages have in common.

May import: models.
"""
