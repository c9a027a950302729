"""Publishing: what stands in the way, and all that is made and told; retiring, free downloads.

May import: public, errata, holders, editions, technical_edit, helps, photos, versions, drafts, studio,
models.
"""
