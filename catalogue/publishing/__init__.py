"""Publishing: what stands in the way, and all that is made and told; retiring, free downloads.

May import: public, errata, holders, editions, technical_edit, special_stitches, helps, photos, versions,
instructions, sheets, drafts, studio, models.
"""
