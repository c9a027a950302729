"""The program that makes the environment, loaded as a module of its own."""

import importlib.util
from pathlib import Path

from tests.present import present

ROOT = Path(__file__).resolve().parents[2]


def load_manage():
    """A fresh copy of `manage.py`, to change without changing the one that runs."""
    spec = present(importlib.util.spec_from_file_location("manage_under_test", ROOT / "manage.py"))
    module = importlib.util.module_from_spec(spec)
    present(spec.loader).exec_module(module)
    return module
