"""E-mails of a call: each once for its occasion, in the studio's own words.

May import: access, models.
"""
