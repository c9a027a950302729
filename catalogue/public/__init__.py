"""What visitors see of published versions.

May import: errata, holders, editions, photos, versions, drawings, studio, models.
"""
