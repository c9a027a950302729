"""What visitors see of published versions, and buyers by the link to their PDF.

May import: errata, holders, editions, helps, practice, photos, versions, drawings, materials, studio, models.
"""
