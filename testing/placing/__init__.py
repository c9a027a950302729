"""Placing testers: who makes which size, exactly and with reasons; pure.

May import: asked.
"""
