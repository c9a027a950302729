"""Pattern files: from JSON to a PatternFile, or one sentence that says why not.

May import: shaping, formula.
"""
