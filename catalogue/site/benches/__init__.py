"""What the studio's speed is measured by: each bench compares two ways of doing the same work in one run."""
