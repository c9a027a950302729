"""Typing the code that was sent by e-mail."""

from typing import Any

from allauth.account.views import ConfirmLoginCodeView
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.shortcuts import redirect

from catalogue.studio.limits import count


class CodeView(ConfirmLoginCodeView):
    """Counts each try before it is judged: many at once are judged no more often than one after the other."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Judge a try, unless the code has had its tries."""
        code_of = f"{request.session.session_key} {self._process.state['at']}"
        if count(request, "judge_code", code_of):
            answer: HttpResponseBase = super().post(request, *args, **kwargs)
            return answer
        return self._end(request)

    def _end(self, request: HttpRequest) -> HttpResponse:
        """The code holds no more."""
        self._process.abort()
        messages.error(request, "This code has had its three tries: have a new one sent.")
        return redirect("account_request_login_code")


confirm_login_code = CodeView.as_view()
