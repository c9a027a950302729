"""Having a code sent by e-mail, and typing it."""

from typing import Any
from urllib.parse import urlencode

from allauth.account.views import ConfirmLoginCodeView, RequestLoginCodeView, login
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect
from django.urls import reverse

from catalogue.studio.limits import count

CODE_FOR = "code_for"  # in the session: the address that a code was sent to, so that a new one is one tap


class CodeView(ConfirmLoginCodeView):
    """Counts each try before it is judged: many at once are judged no more often than one after the other."""

    is_open = False

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Say so where there is no code to be typed: it has expired, or it was used."""
        answer: HttpResponseBase = super().dispatch(request, *args, **kwargs)
        if not self.is_open and answer.headers.get("Location") == reverse("account_request_login_code"):
            messages.error(request, "This code has expired or was used already: ask for a new one.")
        return answer

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Ask for the code."""
        self.is_open = True
        request.session[CODE_FOR] = self._process.state.get("email") or ""
        answer: HttpResponseBase = super().get(request, *args, **kwargs)
        return answer

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Judge a try, unless the code has had its tries."""
        self.is_open = True
        code_of = f"{request.session.session_key} {self._process.state['at']}"
        if count(request, "judge_code", code_of):
            answer: HttpResponseBase = super().post(request, *args, **kwargs)
            return answer
        return self._end(request)

    def _end(self, request: HttpRequest) -> HttpResponse:
        """The code holds no more."""
        self._process.abort()
        messages.error(request, "This code was typed wrong three times: ask for a new one.")
        return redirect("account_request_login_code")


class RequestCodeView(RequestLoginCodeView):
    """Asks for the address; one that a code was sent to before stands there already."""

    def get_initial(self) -> dict[str, Any]:
        """The address of the code before, if there was one."""
        known = self.request.session.get(CODE_FOR, "")
        return {**super().get_initial(), **({"email": known} if known else {})}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Say whether a code was sent before."""
        page: dict[str, Any] = super().get_context_data(**kwargs)
        return {**page, "sent_before": bool(self.request.session.get(CODE_FOR, ""))}


def sign_in(request: HttpRequest) -> HttpResponseBase:
    """Sign in with a password; who comes from a tester's page is asked for the address of a code at once."""
    wanted = request.GET.get("next", "")
    if request.method != "POST" and wanted.startswith(settings.CODE_PAGES):
        return redirect(f"{reverse('account_request_login_code')}?{urlencode({'next': wanted})}")
    answer: HttpResponseBase = login(request)
    return answer


confirm_login_code = CodeView.as_view()
request_login_code = RequestCodeView.as_view()
