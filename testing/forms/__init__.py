"""Forms of the test calls."""
