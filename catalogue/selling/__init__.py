"""Selling: shops, facts for the catalogue, rights, dates, yarn that was given, and what to show of a pattern.

May import: questions, public, errata, editions, helps, photos, versions, instructions, materials, drafts,
studio, models.
"""
