"""Begins as a process that has seen no frozen record yet."""

from catalogue.versions.frozen_grades import forget_graded
from catalogue.versions.frozen_work import forget_memory
from catalogue.versions.records import frozen_record
from catalogue.versions.step_changes import _version_steps
from testing.asked.figures import _frozen_figures


def as_a_new_process():
    forget_graded()
    forget_memory()
    for known in (frozen_record, _version_steps, _frozen_figures):
        known.cache_clear()
