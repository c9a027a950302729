"""A holder's own pages: sign up, confirm, unsubscribe, be erased; without an account."""

from django.db.models import Prefetch
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST, require_safe

from catalogue.holders.forms import SignUpForm
from catalogue.holders.holders import (
    ask_to_confirm,
    confirm_holder,
    erase_address,
    holder_key,
    holder_of_key,
    unsubscribe,
)
from catalogue.holders.own_links import LINK_LASTS, OwnLinkExpired, holder_of_own_key, send_own_link
from catalogue.models import Holder, Pattern, Version
from catalogue.studio.even_time import evenly_timed
from catalogue.studio.limits import refuse_letter
from catalogue.studio.requests import form_page
from catalogue.versions.records import read_record
from catalogue.versions.versions import current_release, published_title, version_of_number


@evenly_timed
@form_page
def sign_up(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask to be told of corrections; the answer is the same for every address."""
    pattern, title = released_or_404(slug)
    known = version_of_number(pattern, request.GET.get("version", ""))
    form = SignUpForm(request.POST or None, pattern=pattern, initial={"version": known})
    status = 200
    if request.method == "POST":
        status = 400
        if form.is_valid():
            says = refuse_letter(request, form.cleaned_data["email"])
            if not says:
                ask_to_confirm(pattern=pattern, **form.cleaned_data)
                return redirect("signed_up", slug=slug)
            form.add_error(None, says)
            status = 429
    page = {"pattern": pattern, "title": title, "form": form}
    return render(request, "catalogue/holders/sign_up.html", page, status=status)


@require_safe
def signed_up(request: HttpRequest, slug: str) -> HttpResponse:
    """What to do next."""
    pattern, title = released_or_404(slug)
    return render(request, "catalogue/holders/signed_up.html", {"pattern": pattern, "title": title})


@never_cache
@form_page
def holder_confirm(request: HttpRequest, key: str) -> HttpResponse:
    """The owner of an address says yes; looking at the page alone, as mail scanners do, changes nothing."""
    holder = _holder_or_404(key)
    asked = version_of_number(holder.pattern, request.GET.get("version", ""))
    version = asked if asked and asked.kind == "release" else holder.version
    page = {**_page_of(holder), "version": version, "key": key}
    if request.method == "POST" and holder.state != "complained":
        confirm_holder(holder=holder, version=version)
        return render(request, "catalogue/holders/confirmed.html", page)
    return render(request, "catalogue/holders/confirm.html", page)


@never_cache
@csrf_exempt  # the key is signed, and mail programs post without ever having seen the page (RFC 8058)
@form_page
def leave(request: HttpRequest, key: str) -> HttpResponse:
    """Unsubscribe, by a mail program's one click or by the button; looking alone changes nothing."""
    holder = _holder_or_404(key)
    if request.method == "POST":
        unsubscribe(holder=holder, from_all="all" in request.POST)
        return render(request, "catalogue/holders/left.html", {**_page_of(holder), "key": key})
    return render(request, "catalogue/holders/leave.html", {**_page_of(holder), "key": key})


@never_cache
@require_POST
@csrf_exempt  # the key is signed, and the page that it unsubscribes on sets no cookie
def holder_link(request: HttpRequest, key: str) -> HttpResponse:
    """Send the link to see and erase what is held to the address that the key belongs to, and to no other."""
    holder = _holder_or_404(key)
    len(request.POST)  # reading them refuses a flood of fields
    is_refused = bool(refuse_letter(request, holder.email))
    if not is_refused:
        send_own_link(holder)
    page = {**_page_of(holder), "days": LINK_LASTS.days, "is_refused": is_refused}
    return render(request, "catalogue/holders/own_link.html", page, status=429 if is_refused else 200)


@never_cache
@form_page
def holder_forget(request: HttpRequest, key: str) -> HttpResponse:
    """See what is held and erase it: a fresh link that went to the address is its owner's proof."""
    try:
        holder = holder_of_own_key(key)
    except OwnLinkExpired as expired:
        again = {**_page_of(expired.holder), "key": holder_key(expired.holder)}
        return render(request, "catalogue/holders/own_link_expired.html", again, status=410)
    if holder is None:
        raise Http404
    page: dict[str, object] = {**_page_of(holder), "key": key}
    if request.method == "POST":
        erase_address(holder=holder)
        return render(request, "catalogue/holders/forgotten.html", page)
    rows = Holder.objects.filter(email__iexact=holder.email).select_related("version")
    held = rows.prefetch_related(Prefetch("pdf_versions", Version.objects.defer("record")))
    page["rows"] = [(one, read_record(one.version.record)["title"] if one.version else "") for one in held]
    return render(request, "catalogue/holders/forget.html", page)


def _page_of(holder: Holder) -> dict[str, object]:
    """What every page of a holder prints."""
    return {"holder": holder, "title": published_title(holder.pattern)}


def _holder_or_404(key: str) -> Holder:
    """The holder of a signed key."""
    holder = holder_of_key(key)
    if holder is None:
        raise Http404
    return holder


def released_or_404(slug: str) -> tuple[Pattern, str]:
    """A pattern that was published once, be it retired, and its title as published."""
    pattern = get_object_or_404(Pattern, slug=slug)
    if current_release(pattern) is None:
        raise Http404
    return pattern, published_title(pattern)
