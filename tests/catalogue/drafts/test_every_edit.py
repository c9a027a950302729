"""Any edit of any part of any pattern: what is stored afterwards is what working it all out afresh gives."""

import copy
import json
import random
from pathlib import Path

import pytest

from catalogue.drafts.edits import edit_document
from catalogue.drafts.patterns import load_pattern
from tests.catalogue.desk_work import fresh
from tests.catalogue.random_edits import EDITED, random_edit, random_pattern
from tests.catalogue.stored_sheets import assert_stored_is_right

ROOT = Path(__file__).resolve().parents[3]
FILES = sorted(
    [*(ROOT / "tests/data/garments").glob("*.json"), *(ROOT / "catalogue/site/demo").glob("*.json")]
)
MANY_COMBINATIONS = "twitewell_hat"  # 256 of them take a second each time
RANDOM_PATTERNS = 6
OFTEN = ["values", "values", "values", "body", "fabrics", "pick_ups", "stripes"]  # most hangs on these
EDITS_IN_A_ROW = 4


@pytest.mark.django_db
def test_after_an_edit_of_any_part_what_is_stored_is_what_working_out_afresh_gives(full, count_proof):
    rng = random.Random(20)
    paths = [path for path in FILES if full or path.stem != MANY_COMBINATIONS]
    documents = [json.loads(path.read_text(encoding="utf-8")) for path in paths]
    documents += [{**random_pattern(rng), "title": f"Random {i}"} for i in range(RANDOM_PATTERNS)]
    parts = [*EDITED, *OFTEN]
    places = [(one, part) for one in documents for part in parts]
    wanted = (rng.sample(places, len(places)) * 2)[: 500 if full else 60]
    for original in documents:
        of_this = [part for one, part in wanted if one is original]
        edit_one_after_another(rng, original, of_this, documents)
    count_proof("edits compared with working out afresh", len(wanted))


def edit_one_after_another(rng, original, parts, donors):
    """Edit the parts of a document in turn, a few edits on top of each other before it is as it was."""
    document = copy.deepcopy(original)
    pattern = load_pattern(document=copy.deepcopy(document), by=None) if parts else None
    for place, part in enumerate(parts):
        edited = random_edit(rng, document, part, donors)
        store(pattern, edited, f"{part} of {original['title']}")
        document = edited
        if place % EDITS_IN_A_ROW == EDITS_IN_A_ROW - 1:
            store(pattern, original, f"{original['title']} as it was")
            document = copy.deepcopy(original)


def store(pattern, document, what):
    revision = fresh(pattern).sheet.revision
    edit_document(pattern=pattern, revision=revision, document=copy.deepcopy(document), by=None)
    assert_stored_is_right(pattern, document, what)
