"""Tasks that waited while their functions moved are still found and run."""

import importlib
from pathlib import Path

import pytest
from django.apps import apps
from django.utils.module_loading import import_string
from django_tasks_db.models import DBTaskResult

ROOT = Path(__file__).resolve().parents[2]
MOVES = [
    importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))
    for path in sorted(ROOT.glob("*/migrations/*_task_names.py"))
]
pytestmark = pytest.mark.django_db


def test_every_name_that_a_waiting_task_gets_is_a_task():
    named = [new for move in MOVES for new in move.MOVED.values()]
    assert len(named) >= 4
    assert [import_string(new).module_path for new in named] == named


def test_a_task_that_waited_under_its_old_name_is_found_under_its_new_one():
    for move in MOVES:
        for old, new in move.MOVED.items():
            task = DBTaskResult.objects.create(
                task_path=old, args_kwargs={"args": [], "kwargs": {}}, backend_name="default"
            )
            move.rename_tasks(apps, None)
            task.refresh_from_db()
            assert task.task_path == new
            move.rename_back(apps, None)
            task.refresh_from_db()
            assert task.task_path == old
