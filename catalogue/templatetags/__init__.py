"""Tags of the catalogue."""
