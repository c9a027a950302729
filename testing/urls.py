"""Addresses of the test calls."""

urlpatterns: list[object] = []
