"""Formulas: numbers with their dimensions, from the text as typed to arrays.

Imports no other room.
"""
