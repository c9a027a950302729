"""Places: proposed, offered, accepted, given back.

May import: placing, calls, asked, mails, access, models.
"""
