"""Views of the catalogue."""
