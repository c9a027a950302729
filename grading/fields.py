"""Fields that keep an entry of a pattern file exactly as it was typed."""

import json
from typing import TYPE_CHECKING, Any

from django.db import models

if TYPE_CHECKING:
    TextOfAnything = models.TextField[Any, Any]
else:
    TextOfAnything = models.TextField


class TypedField(TextOfAnything):
    """A JSON entry kept as text: order of keys, long numbers and all characters stay as they came."""

    if TYPE_CHECKING:
        _pyi_private_set_type: Any
        _pyi_private_get_type: Any

    def from_db_value(self, value: str | None, *_: object) -> Any:
        """Read the entry."""
        return None if value is None else json.loads(value)

    def get_prep_value(self, value: Any) -> str | None:
        """Write the entry; `None` is the null of the database, not of the file."""
        return None if value is None else json.dumps(value)

    def value_to_string(self, obj: models.Model) -> Any:
        """The entry for a serialised copy, which is JSON itself."""
        return self.value_from_object(obj)

    def to_python(self, value: Any) -> Any:
        """Entries come as they are."""
        return value
