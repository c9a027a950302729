"""The world of all addresses, made once for a module: each test works on it and leaves it as it was."""

import copy
import shutil
from unittest import mock

import pytest
from django.db import connection, transaction
from django.test import override_settings

from tests.site.rights_world import make_world

IN_MEMORY = {
    "EMAIL_BACKEND": "django.core.mail.backends.locmem.EmailBackend",
    "PASSWORD_HASHERS": ["django.contrib.auth.hashers.MD5PasswordHasher"],
    "TASKS": {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}},
    "CACHES": {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}},
}


@pytest.fixture(scope="module")
def kept_world(django_db_setup, django_db_blocker, tmp_path_factory):
    """The world and the folder of its files, in a transaction around those of the module's tests."""
    folder = tmp_path_factory.mktemp("world")
    own = {**IN_MEMORY, "MEDIA_ROOT": folder / "files", "MAIL_DIR": folder / "mails"}
    # A test's end closes the connection, which would end the transaction of the next one's world too.
    with django_db_blocker.unblock(), transaction.atomic(), mock.patch.object(connection, "close"):
        with override_settings(**own):
            world = make_world()
            world.editor_pk = world.people["editor"].pk
            world.photo_width = world.result_photo.files[0]["width_px"]
            world.photo_form = world.result_photo.files[0]["format"]
        yield world, folder
        transaction.set_rollback(True)


@pytest.fixture
def world(kept_world, db, settings):
    """The world with a copy of its files, both for this test alone."""
    made, folder = kept_world
    for name, place in (("files", settings.MEDIA_ROOT), ("mails", settings.MAIL_DIR)):
        shutil.copytree(folder / name, place, dirs_exist_ok=True)
    return copy.deepcopy(made)
