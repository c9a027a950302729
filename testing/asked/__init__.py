"""What a call asks for, and what is expected at a tester's own gauge.

May import: models.
"""
