"""Close-ups of the demo's helps: cloth fills them, up to the needle where there is one."""

import numpy as np
import pytest

from catalogue.site import demo_helps
from catalogue.site.demo_close_ups import CloseUp, close_up

CLOSE_UPS = {name: one for name, one in vars(demo_helps).items() if isinstance(one, CloseUp)}


@pytest.mark.parametrize("name", CLOSE_UPS)
def test_cloth_fills_a_close_up_of_a_help(name):
    picture = np.asarray(close_up(CLOSE_UPS[name]))
    blank = (np.ptp(picture, axis=(1, 2)) == 0).mean()
    assert blank == 0
