"""What the results say of the pattern, and what mends it.

May import: assessment, asked, access, places, results, models.
"""
