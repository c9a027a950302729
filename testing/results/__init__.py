"""Results: what testers send in, question by question.

May import: assessment, places, calls, asked, mails, access, models.
"""
