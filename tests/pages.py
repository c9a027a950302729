"""Pages as a browser sets them."""

import re


def page_text(answer):
    """The source of a page with one space for every run of white space and none at the end of a tag."""
    return re.sub(r" (/?>)", r"\1", " ".join(answer.content.decode().split()))
