"""Running calls: what the studio sees of them, and what is done from day to day.

May import: privacy, verdicts, results, places, calls, asked, mails, access, models.
"""
