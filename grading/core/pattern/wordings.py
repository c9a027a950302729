"""The wording: which state of our printed sentences a pattern is printed in, by number.

Sentences get better. What was frozen goes on being printed in the words of its time: a record keeps
the number that was the newest when it was frozen, and whatever prints for it asks for that number.
"""

FIRST_WORDING = 1
# The last before editions of one size were set close.
WIDE_WORDING = 2
NEWEST_WORDING = 3
