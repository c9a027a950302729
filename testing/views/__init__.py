"""Pages of the test calls."""
