"""How far a body may be from the one that a size is made for; pure."""

FARTHEST_CM = 10  # a size this far from somebody, on average, is not made for them; our own
