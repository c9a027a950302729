"""Sheets as stored: documents, rows, results and the fingerprints that they hang on.

May import: core.
"""
