"""How often somebody did something of late."""

from django.db import models


class Tally(models.Model):
    """A row of the cache that counts tries: in the database, so that all processes count together."""

    cache_key = models.CharField(
        max_length=255, primary_key=True, help_text="Whoever reads it learns nothing from it."
    )
    value = models.TextField()
    expires = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return self.cache_key
