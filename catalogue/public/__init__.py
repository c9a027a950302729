"""What visitors see of published versions.

May import: errata, editions, photos, versions, drawings, studio, models.
"""
