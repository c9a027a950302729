"""Addresses that open a page to whoever has them: no log tells them, and nobody on the way keeps the page."""

# What the key stands behind.
KEYED = ("applications/", "offers/", "notices/", "my-pdf/", "invitation/", "setup/")
