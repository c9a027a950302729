"""Makes helps for tests."""

import io
from typing import Any

from catalogue.helps.helps import add_pictures, save_help
from catalogue.photos.pictures import clean_picture
from tests.catalogue import pictures
from tests.catalogue.builders import edit

TYPED: dict[str, Any] = {
    "title": "Foundation chain",
    "text": "Draw each loop to the same height.\n\n- Hold the tail.\n- Count the chains.",
    "terms": ["ch"],
    "craft": "crochet",
    "hand": "",
    "level": "easy",
    "link": "https://video.example/chain",
    "link_from_s": 80,
    "link_to_s": 125,
}


def make_help(*, pictured=0, **typed):
    """A help with so many pictures."""
    typed = {**TYPED, **typed}
    if not typed["link"]:
        typed |= {"link_from_s": None, "link_to_s": None}
    found = save_help(found=None, by=None, **typed)
    taken = [(clean_picture(io.BytesIO(pictures.jpeg())), f"Picture {n + 1}") for n in range(pictured)]
    if taken:
        add_pictures(found=found, pictures=taken, caption="The hook stands still.")
    return found


def name_in_step(pattern, name, *, section=0, step=0, behind=""):
    """Name a help in a step, at its end or behind some words."""

    def put(document):
        steps = document["sections"][section]["steps"]
        mark = f" {{help {name}}}"
        steps[step] = steps[step].replace(behind, behind + mark, 1) if behind else steps[step] + mark

    edit(pattern, put)
