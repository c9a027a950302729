"""Sends the forms of a page as a browser does: with everything that stands in them, hidden or not."""

from html.parser import HTMLParser
from typing import Any


class _Forms(HTMLParser):
    """Every form of a page: where it goes, and what it would send untouched."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[tuple[str, dict[str, list[str]]]] = []
        self.fields: dict[str, list[str]] = {}
        self.area: str | None = None
        self.select = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        name = found.get("name", "")
        if tag == "form":
            self.fields = {}
            self.forms.append((found.get("action", ""), self.fields))
        elif tag == "input" and name:
            is_box = found.get("type") in ("checkbox", "radio")
            if found.get("type") not in ("submit", "file") and (not is_box or "checked" in found):
                self.fields.setdefault(name, []).append(found.get("value", "on" if is_box else ""))
        elif tag == "textarea":
            self.area = name
            self.fields[name] = [""]
        elif tag == "select":
            self.select = name
        elif tag == "option" and self.select and ("selected" in found or self.select not in self.fields):
            self.fields[self.select] = [found.get("value", "")]

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self.fields = {}
        elif tag == "textarea":
            self.area = None
        elif tag == "select":
            self.select = ""

    def handle_data(self, data: str) -> None:
        if self.area is not None:
            self.fields[self.area] = [self.fields[self.area][0] + data.removeprefix("\n")]


def form_on(page: str, action: str) -> dict[str, Any]:
    """What the form that goes to an address would send, as it stands on a page."""
    reader = _Forms()
    reader.feed(page)
    for goes_to, fields in reader.forms:
        if goes_to == action:
            return dict(fields)
    raise AssertionError(f"no form goes to {action!r}, only to {[goes_to for goes_to, _ in reader.forms]}")


def send_form(client: Any, address: str, *, action: str = "", page: str = "", **typed: Any) -> Any:
    """Open a page, change what is typed, and send its form; `action` where it goes to another address.

    `page` is what was opened before, where something happens between looking and sending.
    """
    shown = page or client.get(address).content.decode()
    return client.post(action or address, {**form_on(shown, action), **typed})
