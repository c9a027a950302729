"""Buyers pick a PDF for their size by their own link; nobody else does, and nobody by signing up."""

import re
from html import unescape

import pytest
from django.core import mail
from django.core.signing import TimestampSigner
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.editions.ingredients import RenderedPdf
from catalogue.editions.tool_sizes import without_tool_sizes
from catalogue.errata.errata import Mistake, correct_erratum, judge_erratum, report_erratum
from catalogue.holders import pdf_links
from catalogue.holders.holders import NewHolder, confirm_holder, erase_holder, holder_key, store_holders
from catalogue.holders.own_links import LINK_LASTS
from catalogue.holders.pdf_links import (
    ask_for_pdf,
    give_pdf,
    pdf_key,
    store_buyers,
    withdraw_pdfs,
)
from catalogue.models import Holder
from catalogue.public import holder_views, your_size
from catalogue.versions.step_changes import version_steps
from tests.builders import make_studio
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.catalogue.errata.planted import plant, spoil_count
from tests.catalogue.errata.test_errata import mended_armhole, wrong_armhole
from tests.pages import page_text
from tests.present import present

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
IDA = "ida@larkmoss.example"


@pytest.fixture
def version():
    return make_version(make_pattern("thistledrift_waistcoat"), number="1.0")


@pytest.fixture(autouse=True)
def asked(monkeypatch):
    """Which records were asked for with which choices."""
    asked = []

    def render(*, record, choices):
        asked.append((record, choices))
        return RenderedPdf(b"%PDF-1.7", 1, "", "", {})

    monkeypatch.setattr(your_size, "render_edition", render)
    return asked


def make_buyer(version, email=IDA):
    store_buyers(holders=[NewHolder(email, version.pattern, version, None)], source="imported")
    return Holder.objects.get(email=email, pattern=version.pattern)


def page_and_file(key):
    return reverse("holder_pdf", args=[key]), reverse("holder_pdf_file", args=[key])


def answers(key, **query):
    """How the page and the file of a link answer somebody without an account."""
    return [Client().get(address, query).status_code for address in page_and_file(key)]


def test_a_buyer_chooses_on_the_page_and_gets_the_pdf(version, client, asked):
    page, file = page_and_file(pdf_key(make_buyer(version)))
    shown = client.get(page, {"size": "M", "option_colours": "striped"})
    for field in (
        "version",
        "size",
        "option_pockets",
        "option_colours",
        "shade_A",
        "units",
        "terms",
        "print",
        "paper",
    ):
        assert f'name="{field}"' in shown.content.decode()
    assert f'formaction="{file}"' in shown.content.decode()
    assert shown["Cache-Control"] == "private, no-store"
    query = {
        "version": "1.0", "size": "L", "option_pockets": "no", "option_colours": "striped",
        "shade_A": "#4A3728", "units": "in", "paper": "Letter", "terms": "UK", "print": "large",
    }  # fmt: skip
    answer = client.get(file, query)
    assert (answer["Content-Type"], answer["Cache-Control"]) == ("application/pdf", "private, no-store")
    assert answer["Content-Disposition"].endswith('-1.0-size-l.pdf"')
    assert not answer.cookies
    assert asked == [
        (
            version.record,
            {
                "hand": "right", "units": "in", "terms": "UK", "sizes": "L", "print": "large",
                "paper": "Letter", "options": "colours=striped;pockets=no", "shades": "A#4a3728",
            },
        )
    ]  # fmt: skip


def test_who_only_signed_up_has_no_link_and_is_told_how(version, client):
    """Confirming and naming a version oneself gives nothing, nor does a list that is none of sales."""
    holder = Holder.objects.create(pattern=version.pattern, email=IDA, source="own", state="asked")
    confirm_holder(holder=holder, version=version)
    store_holders(holders=[NewHolder(IDA, version.pattern, version, None)], source="imported")
    holder.refresh_from_db()
    assert answers(pdf_key(holder)) == [404, 404]
    assert answers(holder_key(holder)) == [404, 404]
    told = client.post(reverse("ask_pdf", args=[version.pattern.slug]), {"email": IDA}, follow=True)
    assert "Signing up for corrections is not enough" in " ".join(told.content.decode().split())
    assert not mail.outbox
    asks = [
        reverse("ask_pdf", args=[version.pattern.slug])
        in client.get(reverse(page, args=[version.pattern.slug])).content.decode()
        for page in ("needs", "pattern_page")
    ]
    assert asks == [False, False]  # it is on sale nowhere
    version.pattern.shop_links.create(label="Larkmoss shop", address="https://shop.larkmoss.example/")
    for page in ("needs", "pattern_page"):
        shown = client.get(reverse(page, args=[version.pattern.slug])).content.decode()
        assert reverse("ask_pdf", args=[version.pattern.slug]) in shown
    asked = client.get(reverse("ask_pdf", args=[version.pattern.slug])).content.decode()
    assert "https://shop.larkmoss.example/" in asked


def test_a_buyer_asks_for_the_link_and_a_stranger_is_answered_alike(
    version, client, asked, django_capture_on_commit_callbacks
):
    make_buyer(version)
    url = reverse("ask_pdf", args=[version.pattern.slug])
    with django_capture_on_commit_callbacks(execute=True):
        sent = [
            client.post(url, {"email": email}) for email in ("IDA@larkmoss.example", "olive@larkmoss.example")
        ]
    assert {answer.url for answer in sent} == {reverse("asked_pdf", args=[version.pattern.slug])}
    assert [letter.to for letter in mail.outbox] == [[IDA]]
    link = present(re.search(r"https://larkmoss\.example(/my-pdf/\S+/)", str(mail.outbox[0].body))).group(1)
    assert client.get(link).status_code == 200
    assert client.get(f"{link}your-size.pdf").status_code == 200
    assert client.post(url, {"email": "no address"}).status_code == 400
    refused = [client.post(url, {"email": IDA}).status_code for _ in range(4)]
    assert refused[-1] == 429


def test_another_persons_link_shows_their_versions_alone(version):
    """A key is bound to its row and to the token in it: neither can be put with another's."""
    ida, olive = make_buyer(version), make_buyer(version, "olive@larkmoss.example")
    mixed = TimestampSigner(salt="catalogue.holders.pdf").sign(f"{ida.pk}-{olive.pdf_token}")
    assert answers(mixed) == [404, 404]
    withdraw_pdfs(holder=olive)
    assert answers(pdf_key(ida)) == [200, 200]
    assert answers(pdf_key(olive)) == [404, 404]


def test_a_holder_of_another_pattern_gets_nothing_of_this_one(version):
    other = make_version(make_pattern(), number="1.1")
    key = pdf_key(make_buyer(other))
    assert answers(key, version="1.1") == [200, 200]
    assert answers(key, version="1.0") == [404, 404]
    holder = make_buyer(other, "olive@larkmoss.example")
    holder.pdf_versions.add(version)  # a version of another pattern is never theirs
    assert answers(pdf_key(holder), version="1.0") == [404, 404]


def test_only_the_versions_that_the_studio_named_are_there(version, client, asked):
    """Who bought 1.0 has no 1.1, nor the other way round, till both are named. Test versions are nobody's."""
    newer = make_version(version.pattern, number="1.1")
    test = make_version(version.pattern, number="1.2", kind="test")
    first, second = make_buyer(version), make_buyer(newer, "olive@larkmoss.example")
    assert answers(pdf_key(first), version="1.1") == [404, 404]
    assert answers(pdf_key(second), version="1.0") == [404, 404]
    confirm_holder(holder=first, version=newer)  # their own word changes nothing
    assert answers(pdf_key(first), version="1.1") == [404, 404]
    asked.clear()
    make_buyer(newer)
    first.pdf_versions.add(test)
    page, file = page_and_file(pdf_key(first))
    assert [one.number for one in client.get(page).context["held"]] == ["1.1", "1.0"]
    client.get(file, {"version": "1.0"})
    client.get(file)
    assert [record for record, _ in asked] == [version.record, newer.record]
    assert answers(pdf_key(first), version="1.2") == [404, 404]


def test_a_changed_key_opens_nothing(version):
    key = pdf_key(make_buyer(version))
    for changed in (
        f"{key[:-1]}{'A' if key[-1] != 'A' else 'B'}",
        f"1{key}",
        "x",
        "1-:1:1",
        key.rpartition(":")[0],
    ):
        assert answers(changed) == [404, 404]


def test_a_link_expires_and_says_how_to_get_another(version, monkeypatch):
    holder = make_buyer(version)
    key = pdf_key(holder)
    later = (timezone.now() + LINK_LASTS).timestamp()
    monkeypatch.setattr("django.core.signing.time.time", lambda: later - 60)
    assert answers(key) == [200, 200]
    monkeypatch.setattr("django.core.signing.time.time", lambda: later + 60)
    assert answers(key) == [410, 410]
    page = Client().get(page_and_file(key)[0])
    assert reverse("ask_pdf", args=[version.pattern.slug]) in page.content.decode()
    assert page["Cache-Control"] == "private, no-store"
    assert answers(pdf_key(holder)) == [200, 200]


def test_a_withdrawn_link_stays_dead_when_the_pdf_is_given_again(version):
    holder = make_buyer(version)
    old = pdf_key(holder)
    withdraw_pdfs(holder=holder)
    holder.refresh_from_db()
    assert answers(old) == [404, 404]
    assert not give_pdf(holder=holder, version=version)
    assert answers(old) == [404, 404]
    assert answers(pdf_key(holder)) == [200, 200]
    erase_holder(holder=Holder.objects.get())
    assert answers(pdf_key(holder)) == [404, 404]


def test_pdfs_of_a_link_are_counted_also_from_many_places(version, client, monkeypatch, asked):
    counted = []

    def count(_request, action, *of):
        counted.append((action, *of))
        return None if action == "editions_of_holder" else True

    monkeypatch.setattr(holder_views, "count", count)
    holder = make_buyer(version)
    page, file = page_and_file(pdf_key(holder))
    answer = client.get(file, {"size": "M"})
    assert (answer.status_code, answer["Cache-Control"]) == (429, "private, no-store")
    assert counted == [("editions_of_client",), ("editions_of_holder", str(holder.pk))]
    assert f"{page}?size=M" in unescape(answer.content.decode())
    assert not asked


@pytest.mark.parametrize(("state", "why"), [("bounced", "come back"), ("complained", "unwanted")])
def test_an_address_that_gets_no_letters_gets_no_link(version, designer_client, state, why):
    holder = make_buyer(version)
    Holder.objects.update(state=state)
    ask_for_pdf(pattern=version.pattern, email=IDA)
    holder.refresh_from_db()
    give = reverse("holder_pdf_give", args=[holder.pk])
    told = unescape(designer_client.post(give, {"version": "1.0"}, follow=True).content.decode())
    assert f"{IDA} has 1.0. No link was sent: " in told
    assert why in told
    assert not mail.outbox


def test_a_button_pressed_twice_sends_one_link(version, designer_client):
    holder = make_buyer(version)
    give = reverse("holder_pdf_give", args=[holder.pk])
    pages = [designer_client.post(give, {"version": "1.0"}, follow=True) for _ in range(2)]
    assert [letter.to for letter in mail.outbox] == [[IDA]]
    assert "their link is on its way" in pages[0].content.decode()
    assert "a moment ago, and was not sent again" in pages[1].content.decode()


def test_a_link_that_can_not_be_written_is_no_dead_address(version, monkeypatch):
    monkeypatch.setattr(pdf_links, "send_mail", lambda **_: False)
    assert "could not be made" in give_pdf(holder=make_buyer(version), version=version)


def test_buyers_without_a_version_are_counted_once_and_only_while_they_have_none(version):
    pattern = version.pattern
    make_buyer(version)
    lines = [
        NewHolder(email, pattern, None, None) for email in (IDA, "olive@larkmoss.example", "wren@x.example")
    ]
    again = NewHolder("Olive@larkmoss.example", pattern, None, None)
    assert store_buyers(holders=[*lines, again], source="imported")[1] == 2
    named = NewHolder("wren@x.example", pattern, version, None)
    assert store_buyers(holders=[*lines, named], source="imported")[1] == 1


def test_a_link_that_was_given_meanwhile_lives_on(version):
    """Two pages of the studio give the same buyer a version; each read the buyer before."""
    newer = make_version(version.pattern, number="1.1")
    store_holders(holders=[NewHolder(IDA, version.pattern, version, None)], source="imported")
    one, other = Holder.objects.get(), Holder.objects.get()
    give_pdf(holder=one, version=version)
    key = pdf_key(Holder.objects.get())
    give_pdf(holder=other, version=newer)
    assert answers(key) == [200, 200]


def test_a_buyer_is_told_what_a_newer_version_corrects(client):
    pattern = make_pattern()
    edit(pattern, wrong_armhole)
    old = make_version(pattern, number="1.0")
    holder = make_buyer(old)
    page = page_and_file(pdf_key(holder))[0]

    def told():
        return " ".join(client.get(page, {"version": "1.0"}).content.decode().split())

    assert "Version 1.1" not in told()
    mistake = Mistake(pattern=pattern, place="values.sleeve_rows", gravity="wrong", found_in=old)
    erratum = report_erratum(mistake)
    judge_erratum(erratum=erratum, is_mistake=True)
    corrections = f"{reverse('corrections', args=[pattern.slug, '1.0'])}?size="  # none is chosen yet
    assert f'<a href="{corrections}">1 correction to version 1.0</a>' in told()
    edit(pattern, mended_armhole)
    new = make_version(pattern, number="1.1")
    correct_erratum(erratum=erratum, version=new)
    assert "Version 1.1 corrects the known mistake in version 1.0. To get it, ask where you bought" in told()
    pattern.shop_links.create(label="Larkmoss shop", address="https://shop.larkmoss.example/")
    assert '<a href="https://shop.larkmoss.example/" rel="nofollow noopener">Larkmoss shop</a>.' in told()
    assert f'<a href="{corrections}">1 correction to version 1.0</a>' in told()
    give_pdf(holder=holder, version=new)
    assert "Choose version 1.1</a>: your purchase covers it too." in told()
    assert 'href="?version=1.1&amp;size=' in told()
    newest = client.get(page)
    assert newest.context["version"] == new
    assert "known mistake" not in newest.content.decode()
    # A list of versions needs none of their records.
    assert all("record" in one.get_deferred_fields() for one in newest.context["held"][1:])


def test_the_list_of_holders_reads_no_record(version, designer_client):
    make_buyer(version)
    shown = designer_client.get(reverse("holders"), {"address": "ida"}).context["found"]
    assert [one.version.get_deferred_fields() for one in shown] == [{"record"}]


def test_the_studio_names_a_buyer_in_a_list_by_hand_or_among_those_it_finds(
    version, designer_client, django_capture_on_commit_callbacks
):
    title = version.pattern.title
    table = f"address,pattern,version\n{IDA},{title},1.0\nolive@larkmoss.example,{title},\n"
    assert (
        'name="has_pdf"' in designer_client.post(reverse("holders_check"), {"text": table}).content.decode()
    )
    designer_client.post(reverse("holders_store"), {"text": table})
    assert not Holder.objects.exclude(pdf_versions=None).exists()
    told = designer_client.post(reverse("holders_store"), {"text": table, "has_pdf": "on"}, follow=True)
    assert "1 without a version" in told.content.decode()
    assert Holder.objects.exclude(pdf_versions=None).get().email == IDA
    typed = {"email": "wren@larkmoss.example", "pattern": version.pattern.pk, "number": "", "has_pdf": "on"}
    assert "Write the version" in designer_client.post(reverse("holders"), typed).content.decode()
    designer_client.post(reverse("holders"), {**typed, "number": "1.0"})
    assert Holder.objects.get(email="wren@larkmoss.example").pdf_versions.get() == version
    olive = Holder.objects.get(email="olive@larkmoss.example")
    give = reverse("holder_pdf_give", args=[olive.pk])
    assert give in designer_client.get(reverse("holders"), {"address": "olive"}).content.decode()
    designer_client.post(give, {"version": "7.0"})
    assert not olive.pdf_versions.exists()
    with django_capture_on_commit_callbacks(execute=True):
        told = designer_client.post(give, {"version": "1.0"}, follow=True)
    assert "their link is on its way" in told.content.decode()
    assert "has bought the PDF of" in " ".join(told.content.decode().split())
    assert [letter.to for letter in mail.outbox] == [[olive.email]]
    olive.refresh_from_db()
    assert answers(pdf_key(olive)) == [200, 200]
    designer_client.post(reverse("holder_pdf_withdraw", args=[olive.pk]))
    assert answers(pdf_key(olive)) == [404, 404]


def test_the_page_to_read_marks_each_wrong_step_for_its_size(client):
    """A corrected count marks every step that it moves, an open mistake its own; other sizes see none."""
    make_studio()
    wrong, mended, _, _ = plant("brackenmere_pullover", "values.sleeve_rows", spoil_count("sleeve_rows"))
    late = report_erratum(
        Mistake(
            wrong.pattern, "sections[1].steps[0]", ["M"], "Work as the back", "Work as the front",
            found_in=wrong,
        )
    )  # fmt: skip
    judge_erratum(erratum=late, is_mistake=True)
    url = reverse("holder_read", args=[pdf_key(make_buyer(wrong))])
    marked = {}
    for size in ("M", "L"):
        answer = client.get(url, {"size": size, "units": "cm"})
        steps = [step for section in answer.context["reading"]["instructions"] for step in section.steps]
        marked[size] = {step.spot: step.corrections.now for step in steps if step.corrections}
    steps = version_steps(wrong.record, mended.record, "cm", "M")
    changed = {"{}.{}".format(*present(step.old_at)): step.new for step in steps}
    assert len(changed) > 1
    assert marked["M"].pop("1.0").startswith("Work as the front until there are ")
    assert "the smaller hook (4.5 mm, US 7) work" in marked["M"]["2.2"], "as the edition prints it"
    assert {at: without_tool_sizes(says) for at, says in marked["M"].items()} == changed
    assert "1.0" not in marked["L"]
    page = page_text(client.get(url, {"size": "M", "units": "cm"}))
    assert 'says <span class="says">“Work as the back”</span>' in page
    ask = reverse("ask_question", args=[wrong.pattern.slug])
    assert f'href="{ask}?version=1.0&amp;size=M&amp;step=2.0"' in page
    (number,) = re.findall(r"#correction-(\d+)", page.partition("Work as the front")[2])[:1]
    corrections = client.get(reverse("corrections", args=[wrong.pattern.slug, "1.0"]), {"size": "M"})
    assert f'id="correction-{number}"' in corrections.content.decode()
