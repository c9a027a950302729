"""Waiting for what a page answers later: `wait_for_function` takes the promise itself for a yes."""

import time
from typing import Any

from playwright.sync_api import Page

LONGEST_S = 120.0


def wait_until(page: Page, question: str, arg: Any = None) -> None:
    """Ask a page by an async function until the answer is yes; fails after two minutes."""
    last = time.monotonic() + LONGEST_S
    while not page.evaluate(question, arg):
        assert time.monotonic() < last, f"never came true: {question}"
        page.wait_for_timeout(50)
