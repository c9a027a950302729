"""Who holds one pattern: by version, and by whether a notice went to them; for those who see all holders."""

import re

import pytest
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Holder, Notice, NoticeMail
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def pattern():
    return make_pattern()


@pytest.fixture
def held(pattern):
    """Ida was told, Olive was not, Wren's e-mail came back, Moss signed up without a version."""
    old, new = (make_version(pattern, number=number) for number in ("1.0", "1.1"))
    notice = Notice.objects.create(version=new, state="sent")
    for name, version, state in (
        ("ida", old, "handed"),
        ("olive", old, ""),
        ("wren", new, "refused"),
        ("moss", None, ""),
    ):
        holder = Holder.objects.create(pattern=pattern, version=version, email=f"{name}@larkmoss.example")
        if state:
            NoticeMail.objects.create(notice=notice, holder=holder, state=state, settled_at=timezone.now())
    elsewhere = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    Holder.objects.create(pattern=elsewhere.pattern, version=elsewhere, email="corin@larkmoss.example")
    return notice


def listed(client, pattern, **asked):
    page = client.get(reverse("pattern_holders", args=[pattern.slug]), asked)
    assert page.status_code == 200
    return re.findall(r"address=(\w+)%40", page.content.decode())


@pytest.mark.usefixtures("held")
@pytest.mark.parametrize(
    ("asked", "names"),
    [
        ({}, ["ida", "moss", "olive", "wren"]),
        ({"version": "1.0"}, ["ida", "olive"]),
        ({"version": "1.0", "told": "yes"}, ["ida"]),
        ({"version": "1.0", "told": "no"}, ["olive"]),
        ({"told": "no"}, ["moss", "olive", "wren"]),
        ({"version": "unknown"}, ["moss"]),
        ({"version": "7.7"}, []),
        ({"version": "x\x00", "told": "x", "page": "x"}, []),
        ({"page": "99"}, ["ida", "moss", "olive", "wren"]),
    ],
)
def test_they_are_listed_by_version_and_by_whether_a_notice_went_to_them(
    designer_client, pattern, asked, names
):
    assert listed(designer_client, pattern, **asked) == names


def test_each_version_says_how_many_hold_it_and_each_holder_which_notices_they_had(
    designer_client, pattern, held
):
    page = designer_client.get(reverse("pattern_holders", args=[pattern.slug])).content.decode()
    rows = re.findall(
        r'<a href="\?version=([\w.]+)">.*?number">(\d+)</td>\s*<td class="number">(\d+)<', page, re.DOTALL
    )
    assert rows == [("1.1", "1", "0"), ("1.0", "2", "1"), ("unknown", "1", "0")]
    assert page.count(f'href="{reverse("notice", args=[held.pk])}"') == 1
    assert "corrections in 1.1</a>" in " ".join(page.split())
    assert page.count("none yet") == 3


def test_overview_and_versions_lead_there_for_who_may_see_all_holders(client, pattern, held):
    where = reverse("pattern_holders", args=[pattern.slug])
    pages = [
        reverse("desk_pattern", args=[pattern.slug]),
        reverse("versions", args=[pattern.slug]),
        reverse("version", args=[pattern.slug, "1.0"]),
    ]
    for role, sees in (("designer", True), ("editor", False)):
        client.force_login(make_person(role=role))
        for page in pages:
            assert (f'href="{where}' in client.get(page).content.decode()) is sees, (role, page)
        assert client.get(where).status_code == (200 if sees else 404)
    assert held.mails.count() == 2


def test_many_holders_come_page_by_page_with_what_was_asked(
    designer_client, pattern, django_assert_max_num_queries
):
    version = make_version(pattern, number="1.0")
    Holder.objects.bulk_create(
        Holder(pattern=pattern, version=version, email=f"holder{place:03}@larkmoss.example")
        for place in range(60)
    )
    with django_assert_max_num_queries(15):
        assert len(listed(designer_client, pattern, version="1.0")) == 50
    page = designer_client.get(
        reverse("pattern_holders", args=[pattern.slug]), {"version": "1.0"}
    ).content.decode()
    assert '<a href="?version=1.0&amp;page=2">More holders</a>' in page
    assert listed(designer_client, pattern, version="1.0", page="2")[-1] == "holder059"


def test_a_pattern_that_nobody_holds_says_what_to_do(designer_client, pattern):
    page = designer_client.get(reverse("pattern_holders", args=[pattern.slug])).content.decode()
    assert "Nobody has it yet." in page
