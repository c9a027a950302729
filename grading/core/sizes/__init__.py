"""Sizes: tables of body measurements, and whom they serve.

May import: formula.
"""
