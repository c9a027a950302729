"""Addresses of the catalogue."""

urlpatterns: list[object] = []
