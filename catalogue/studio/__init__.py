"""The studio: its people and their rights, its settings, its e-mails, and what is erased on request.

May import: models.
"""
