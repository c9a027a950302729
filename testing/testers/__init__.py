"""Testers across calls.

May import: calls, mails, access, models.
"""
