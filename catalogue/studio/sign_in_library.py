"""What is used of the sign-in library beyond what it promises: all of it stands here.

A new release may change these without a word; tests/site/test_private_parts.py then says which has gone.
"""

from typing import Any, TypeAlias

from allauth.core.internal.ratelimit import RateLimitUsage, SingleRateLimitUsage, consume, get_ip
from django.http import HttpRequest

from catalogue.models import Person

Counted: TypeAlias = RateLimitUsage


def count_try(request: HttpRequest, action: str, key: str) -> Counted | None:
    """Count one more try of an action, by the limits of the settings; None when it is one too many."""
    return consume(request, app="allauth.account", action=action, key=key)


def client_address(request: HttpRequest) -> str:
    """The address of the client, as the limits tell clients apart."""
    address: str = get_ip(request)
    return address


def take_back_later(adapter: Any, tries: list[Counted]) -> None:
    """Name the tries that are counted no more when the password proves right."""
    usage: list[SingleRateLimitUsage] = [one for counted in tries for one in counted.usage]
    adapter._login_failed_rl_usage = RateLimitUsage(usage=usage)  # noqa: SLF001 where it looks for them


def start_sign_in_by_code(request: HttpRequest, person: Person) -> None:
    """Mail a short code to the person's address; the sign-in page then asks for it."""
    from allauth.account.internal.flows.login_by_code import LoginCodeVerificationProcess  # needs the models

    LoginCodeVerificationProcess.initiate(request=request, user=person, email=person.email)
