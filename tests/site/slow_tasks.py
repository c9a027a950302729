"""A task that takes its time, for tests that kill the worker in the middle of it."""

import time
from pathlib import Path

from django_tasks import task


@task()
def take_time(*, folder: str, name: str, seconds: float) -> None:
    """Write down that it began, wait, write down that it ended."""
    with (Path(folder) / f"{name}.began").open("a") as began:
        began.write("x")
    time.sleep(seconds if (Path(folder) / f"{name}.began").stat().st_size == 1 else 0)
    with (Path(folder) / f"{name}.ended").open("a") as ended:
        ended.write("x")
