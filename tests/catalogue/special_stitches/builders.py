"""Makes special stitches for tests."""

import io
from typing import Any

from catalogue.photos.pictures import clean_picture
from catalogue.special_stitches.stitches import add_pictures, newest_state, save_stitch
from catalogue.special_stitches.taking import taken_over
from tests.catalogue import pictures
from tests.catalogue.builders import edit

TYPED: dict[str, Any] = {
    "label": "Puff stitch",
    "short": "ps",
    "craft": "crochet",
    "terms": "US",
    "method": "Yarn over and draw up a long loop, 3 times in the same st.\nClose with 1 sc.",
    "multiple": 2,
    "plus": 1,
    "rows": ["*1 sc in the next st, 1 puff in the next st; repeat from * to the last st, 1 sc in last st."],
}


def make_stitch(*, pictured=0, **typed):
    """The newest state of a special stitch with so many pictures."""
    stitch = save_stitch(stitch=None, by=None, **{**TYPED, **typed}).stitch
    taken = [(clean_picture(io.BytesIO(pictures.jpeg())), f"Puff {n + 1}") for n in range(pictured)]
    if taken:
        add_pictures(stitch=stitch, pictures=taken, caption="Three loops.", by=None)
    return newest_state(stitch)


def take_over(pattern, state):
    """Take a state over into a pattern."""

    def put(document):
        after = taken_over(state, dict(document))
        document.clear()
        document.update(after)

    edit(pattern, put)
