#!/usr/bin/env python3
"""Runs the studio's commands."""

import os
import sys


def main() -> None:
    """Run a command."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "catalogue.site.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
