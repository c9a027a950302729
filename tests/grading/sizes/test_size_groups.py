"""Groups of sizes: typed, proposed, refused in a sentence, and kept when sizes change."""

import pytest

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.sizes.forms import SizesForm
from grading.sizes.groups import groups_text, proposed_groups, read_groups
from grading.sizes.sizes import resize

LETTERS = ["XS", "S", "M", "L", "XL", "2X"]
TYPED = [{"label": "Small", "sizes": ["XS", "S", "M"]}, {"label": "Large", "sizes": ["L", "XL", "2X"]}]


def document_of(sizes, groups=None):
    document = {"format": "evenrow-pattern", "format_version": 1, "title": "Hat", "craft": "crochet",
                "home_units": "cm", "home_terms": "UK", "sizes": list(sizes)}  # fmt: skip
    return document if groups is None else {**document, "size_groups": groups}


def form_of(document, labels, groups):
    data = {"revision": 0, "labels": "\n".join(labels), "groups": groups}
    return SizesForm(data, document=document, revision=0)


@pytest.mark.parametrize(
    ("groups", "says"),
    [
        ([("A", "XS S M"), ("B", "M L XL 2X")], "Size M is in “A” and in “B”: leave it in one of them."),
        ([("A", "XS S M"), ("B", "XL 2X")], "Size L is in no group: put it into one."),
        ([("A", "L XL 2X"), ("B", "XS S M")], "Size L comes too early in the groups"),
        ([("A", "XS S M"), ("a", "L XL 2X")], "Two groups are called “a”: give each its own name."),
        ([("A", "XS S M L XL 2X 9X")], "has a size 9X, and the pattern has none"),
    ],
)
def test_groups_hold_each_size_once_in_order(groups, says):
    typed = [{"label": label, "sizes": sizes.split()} for label, sizes in groups]
    with pytest.raises(PatternFileError) as refused:
        read_pattern(document_of(LETTERS, typed))
    assert says in refused.value.reason
    assert refused.value.path.startswith("$.size_groups")


def test_a_group_has_12_sizes_at_most():
    sizes = [str(at) for at in range(13)]
    with pytest.raises(PatternFileError, match="has 13 sizes, and 12 is the most"):
        read_pattern(document_of(sizes, [{"label": "All", "sizes": sizes}]))
    read_pattern(document_of(sizes[:12], [{"label": "All", "sizes": sizes[:12]}]))


def test_groups_are_read_as_they_are_written():
    assert read_groups(groups_text(TYPED), LETTERS) == TYPED
    assert read_groups("Ages: 1: 2: 3", ["2: 3", "4"]) == [{"label": "Ages: 1", "sizes": ["2: 3", "4"]}]


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("Small", "“Small” is not a group: type its name, a colon and its first size."),
        ("Small: 3X", "“Small” begins with “3X”, which is no size here."),
        ("Small: S", "Size XS is in no group: let the first group begin with it."),
        ("Small: XS\nLarge: L\nMiddle: M", "keep the groups in the order of the sizes."),
    ],
)
def test_what_is_typed_wrongly_is_said_and_kept(typed, says):
    form = form_of(document_of(LETTERS), LETTERS, typed)
    assert not form.is_valid()
    assert len(form.errors["groups"]) == 1
    assert says in form.errors["groups"][0]
    assert typed.splitlines()[-1] in str(form["groups"])


def test_more_than_12_sizes_are_proposed_in_the_groups_of_the_tables():
    sizes = ["3 months", "6 months", "2", "4", "6", "8", *LETTERS, "3X"]
    assert groups_text(proposed_groups(sizes)) == "Baby: 3 months\nChild: 2\nWoman: XS"
    assert proposed_groups(sizes[:12]) == []
    form = SizesForm(document=document_of(sizes), revision=0)
    assert form["groups"].value() == "Baby: 3 months\nChild: 2\nWoman: XS"
    assert "This is a proposal" in form.fields["groups"].help_text


def test_sizes_of_no_table_are_proposed_in_even_groups():
    sizes = [f"No. {at}" for at in range(1, 16)]
    found = proposed_groups(sizes)
    assert [len(one["sizes"]) for one in found] == [8, 7]
    assert found[0]["label"] == "No. 1 to No. 8"
    read_pattern(document_of(sizes, found))


def test_groups_are_stored_with_the_sizes_and_taken_away_when_cleared():
    form = form_of(document_of(LETTERS), LETTERS, "Small: XS\nLarge: L")
    assert form.is_valid()
    assert form.document["size_groups"] == TYPED
    cleared = form_of(form.document, LETTERS, "")
    assert cleared.is_valid()
    assert "size_groups" not in cleared.document


def test_groups_follow_their_sizes():
    document = document_of(LETTERS, TYPED)
    renamed = form_of(document, ["34", "36", "38", "40", "42", "44"], groups_text(TYPED))
    assert renamed.is_valid()
    assert groups_text(renamed.document["size_groups"]) == "Small: 34\nLarge: 40"
    longer = resize(document, [*LETTERS[:3], "ML", *LETTERS[3:], "3X"])
    assert [one["sizes"][-1] for one in longer["size_groups"]] == ["ML", "3X"]
    read_pattern(longer)
    assert groups_text(resize(document, LETTERS[3:])["size_groups"]) == "Large: L"
