"""Saving what a seller keeps, in one go with what is made of it; nobody's words are written over unseen."""

from typing import Any

from django.db import transaction

from catalogue.models import Pattern, SellingFacts, ShopLink
from catalogue.public.listings import list_pattern
from catalogue.selling.forms import RowForm, SellingFactsForm
from catalogue.versions.frozen_rights import renew_rights
from catalogue.versions.glances import Moved, check_glance, written_glance


@transaction.atomic
def save_row(form: RowForm[Any]) -> None:
    """Save a row as typed.

    Raises:
        Moved: Somebody saved it after it was seen; nothing was stored, and the form carries what is there.
    """
    if form.instance.pk:
        rows = form._meta.model._default_manager  # noqa: SLF001
        _check_seen(form, rows.select_for_update().get(pk=form.instance.pk))
    form.save()


@transaction.atomic
def save_part(form: RowForm[Any], pattern: Pattern) -> None:
    """Save a shop, rights note or target date, with the rights that the pattern prints.

    Raises:
        Moved: As for a row.
    """
    _lock(pattern)
    if isinstance(form.instance, ShopLink) and "address" in form.changed_data:
        form.instance.state, form.instance.answer, form.instance.checked_at = "", "", None
    save_row(form)
    renew_rights(pattern)


@transaction.atomic
def save_facts(form: SellingFactsForm, pattern: Pattern) -> None:
    """Save the facts of a pattern, with what the catalogue shows and the pattern prints of them.

    Raises:
        Moved: As for a row; also where two write the first facts at once.
    """
    kept, is_new = SellingFacts.objects.get_or_create(pattern=_lock(pattern))
    if not is_new:
        _check_seen(form, kept)
    form.instance.pk = kept.pk
    form.save()
    renew_rights(pattern)
    list_pattern(pattern)


def _lock(pattern: Pattern) -> Pattern:
    """The pattern, held until the edit is over: what two save about it comes one after the other."""
    return Pattern.objects.select_for_update(no_key=True).get(pk=pattern.pk)


def _check_seen(form: RowForm[Any], kept: Any) -> None:
    """Refuse to save over what the form was not opened with; it carries what is there now."""
    now = form.glance(kept)
    try:
        check_glance(form.cleaned_data["seen"], now)
    except Moved:
        form.carry(written_glance(now))
        raise
