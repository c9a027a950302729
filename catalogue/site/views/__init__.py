"""Pages of the whole studio."""
