"""Filters of the test calls."""
