"""What is held about a person: given out, and erased.

May import: results, places, applications, mails, access, models.
"""
