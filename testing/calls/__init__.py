"""Calls: opened, changed, closed; their dates and what people agree to.

May import: mails, access, asked, models.
"""
