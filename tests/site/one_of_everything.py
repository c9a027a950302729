"""A row in every table, with something in every field, made from what the tables say of themselves."""

import datetime as dt
import itertools
import uuid
from decimal import Decimal

from django.contrib.auth.models import Permission
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import models

from catalogue.site.backup_rows import LEFT_OUT, kept_models

WORDS = "Öland’s “½” stitch, line one\nand two \\u0000 🧶"
MOMENT = dt.datetime(2026, 2, 28, 23, 59, 58, 123456, tzinfo=dt.UTC)
_number = itertools.count(1)


def make_one_of_everything() -> None:
    """Make a row in each table that has none, those first that others need; then fill what may be empty."""
    waiting = [model for model in kept_models() if not model._base_manager.exists()]
    while waiting:
        ready = [model for model in waiting if not needed_by(model) & set(waiting)]
        assert ready, f"Each of these needs another first: {waiting}"
        for model in ready:
            model._base_manager.bulk_create([filled(model)])
        waiting = [model for model in waiting if model not in ready]
    for model in kept_models():
        fill_links(model)


def ends_of(model):
    """The tables that a table refers to, by their labels."""
    return {field.remote_field.model._meta.label for field in model._meta.local_fields if field.remote_field}


def needed_by(model):
    """The tables that must have a row before one can have one."""
    needs = (field for field in model._meta.local_fields if field.remote_field and not field.null)
    return {field.remote_field.model for field in needs}


def filled(model):
    """A row with something in every field, rows of other tables only where there must be one."""
    fields = [field for field in model._meta.local_fields if not field.primary_key]
    return model(
        **{field.name: content(field) for field in fields if not (field.remote_field and field.null)}
    )


def fill_links(model):
    """Let the first row refer to other tables wherever it may."""
    row = model._base_manager.order_by("pk").first()
    single = [field for field in model._meta.local_fields if field.remote_field and field.null]
    for field in single:
        setattr(row, field.attname, any_row(field.remote_field.model).pk)
    if single:
        model._base_manager.bulk_update([row], [field.name for field in single])
    for field in model._meta.local_many_to_many:
        getattr(row, field.name).add(any_row(field.remote_field.model))


def any_row(model):
    """A row of a table; of those that every database makes anew, one that is there."""
    assert model is Permission or model._meta.label not in LEFT_OUT
    return model._base_manager.order_by("pk").first()


def content(field):
    """Something that fits a field and is not easy to keep."""
    if field.remote_field:
        return any_row(field.remote_field.model)
    if field.choices:
        return field.choices[-1][0]
    for kind, make in CONTENT:
        if isinstance(field, kind):
            return make(field)
    raise AssertionError(f"Nothing is known to put into {field}: say what.")


def text(field):
    """Words as long as they may be, unlike any other."""
    return f"{next(_number)} {WORDS}"[: field.max_length]


def kept_file(field):
    """A file that is there."""
    return default_storage.save(f"{field.upload_to}one.pdf", ContentFile(b"A file."))


def structure(field):
    """JSON with everything that JSON has; a list of files where that is what the field holds."""
    if field.name == "files":
        name = default_storage.save("photos/one.jpg", ContentFile(b"A picture."))
        return [{"format": "jpg", "width_px": 1, "height_px": 1, "name": name}]
    return {"b": [1, 2.5, 4.0, None, True, WORDS], "a": {"": []}}


CONTENT = [
    (models.EmailField, lambda _: f"one{next(_number)}@larkmoss.example"),
    (models.FileField, kept_file),
    (models.UUIDField, lambda _: uuid.UUID(int=next(_number))),
    (models.SlugField, lambda _: f"one-{next(_number)}"),
    (models.CharField, text),
    (models.JSONField, structure),
    (models.TextField, lambda field: structure(field) if hasattr(field, "from_db_value") else text(field)),
    (models.BinaryField, lambda _: b"\x00\xff, a piece"),
    (models.BooleanField, lambda _: True),
    (models.DecimalField, lambda field: Decimal("1.5").quantize(Decimal(10) ** -field.decimal_places)),
    (models.FloatField, lambda _: 0.1 + 0.2),
    (models.IntegerField, lambda _: 7),
    (models.DateTimeField, lambda _: MOMENT),
    (models.DateField, lambda _: MOMENT.date()),
]
