"""Drafts of notices that are put together: what each holder is told then, and who comes too late to one."""

import pytest
from django.urls import reverse

from catalogue.holders.joined_drafts import join_drafts
from catalogue.holders.notices import draft_notice, letters_of
from catalogue.models import Erratum, Notice
from tests.catalogue.builders import make_version
from tests.catalogue.holders.test_notices import found_wrong, released_twice
from tests.pages import page_text
from tests.present import present
from tests.sent_forms import form_on

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def corrected(found_in, corrected_in, place, says):
    """A corrected mistake, and the draft that tells of it."""
    erratum = Erratum.objects.create(
        pattern=found_in.pattern, place=place, says=says, found_in=found_in, state="corrected",
        corrected_in=corrected_in,
    )  # fmt: skip
    return erratum, present(draft_notice(corrected_in))


def test_each_holder_is_told_what_their_version_has_and_what_was_told_before():
    first, second = released_twice()
    told, sent = corrected(first, second, "values.sleeve_rows", "8 rows too many")
    sent.errata.add(told)
    Notice.objects.filter(pk=sent.pk).update(state="sent")
    corrected(first, second, "materials", "Linen as the yarn")
    third = make_version(first.pattern, number="1.2")
    _, draft = corrected(second, third, "gauge", "14 stitches")
    assert join_drafts(notice=draft) == draft
    letters = {one.number: one.text for one in letters_of(draft, everybody=True)}
    new, before = letters["1.0"].partition("Corrected before")[::2]
    assert "Linen as the yarn" in new
    assert "14 stitches" in new
    assert "8 rows too many" not in new
    assert "8 rows too many" in before
    assert "14 stitches" in letters["1.1"]
    assert "Linen" not in letters["1.1"], "their own version has corrected it"


def test_who_decides_on_a_draft_that_was_joined_meanwhile_is_shown_both_with_what_was_typed(designer_client):
    first, second = released_twice()
    found_wrong(first.pattern, first)  # somebody holds 1.0
    older = corrected(first, second, "values.sleeve_rows", "8 rows too many")[1]
    newer = corrected(first, make_version(first.pattern, number="1.2"), "gauge", "14 stitches")[1]
    urls = {name: reverse(f"notice_{name}", args=[older.pk]) for name in ("send", "drop", "join")}
    page = designer_client.get(reverse("notice", args=[older.pk])).content.decode()
    assert f'form="words" formaction="{urls["join"]}"' in page
    typed = {**form_on(page, urls["send"]), "words": "Fetch the new one."}
    joined = designer_client.post(urls["join"], typed)
    assert joined["Location"] == reverse("notice", args=[newer.pk])
    shown = designer_client.get(joined["Location"]).content.decode()
    assert form_on(shown, reverse("notice_send", args=[newer.pk]))["words"] == ["Fetch the new one."]
    for name in ("send", "drop"):
        late = designer_client.post(urls[name], {**typed, "words": "In your account."})
        assert late.status_code == 409
        assert "was merged with another one meanwhile" in page_text(late)
        (words,) = form_on(late.content.decode(), reverse("notice_send", args=[newer.pk]))["words"]
        assert words == "Fetch the new one.\n\nIn your account."
    assert Notice.objects.get().state == "draft"
    alone = designer_client.post(reverse("notice_join", args=[newer.pk]), typed)
    assert "There is no other draft any more" in page_text(alone)


def test_the_old_page_of_a_draft_leads_on_to_the_notice_it_was_put_into_however_often(designer_client):
    first, second = released_twice()
    found_wrong(first.pattern, first)
    oldest = corrected(first, second, "values.sleeve_rows", "8 rows too many")[1]
    third = corrected(first, make_version(first.pattern, number="1.2"), "gauge", "14 stitches")[1]
    join_drafts(notice=oldest)
    newest = corrected(first, make_version(first.pattern, number="1.3"), "materials", "Linen as the yarn")[1]
    join_drafts(notice=third)
    for old in (oldest, third):
        page = designer_client.get(reverse("notice", args=[old.pk]), follow=True)
        assert page.redirect_chain == [(reverse("notice", args=[newest.pk]), 302)]
        assert "was merged into this one" in page_text(page)
    Notice.objects.filter(pk=newest.pk).update(state="dropped")
    late = designer_client.post(
        reverse("notice_send", args=[oldest.pk]), {"words": "In your account."}, follow=True
    )
    assert late.redirect_chain == [(reverse("notice", args=[newest.pk]), 302)]
    assert "You had typed: “In your account.”" in page_text(late)
    assert designer_client.get(reverse("notice", args=[newest.pk + 1])).status_code == 404
