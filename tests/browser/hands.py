"""A designer's hands, in a browser or at a spreadsheet: what they do is counted, and priced by one model.

The keystroke-level model: S. K. Card, T. P. Moran and A. Newell, "The keystroke-level model for user
performance time with interactive systems", Communications of the ACM 23 (7), 1980. Figures from memory of it.
"""

import re

# Figures from memory of Card, Moran and Newell, 1980: K, P, B, H and M.
KEY_S = 0.2  # an average skilled typist, 55 words a minute
POINT_S = 1.1  # to point at something with a mouse
BUTTON_S = 0.2  # to press and release its button
HOME_S = 0.4  # from keys to mouse, or back
THINK_S = 1.35  # before each act: what to do next
# The paper leaves the answer of a system, R, to be measured: this is our own, on the generous side.
PAGE_S = 1.0  # until another page has come and is taken in


class Effort:
    """What hands do: clicks, keys, changes from keys to mouse, acts that are thought of, pages."""

    def __init__(self):
        self.clicks = self.keys = self.homes = self.acts = self.pages = 0
        self._is_at_mouse = True

    def _at(self, *, mouse):
        self.homes += self._is_at_mouse != mouse
        self._is_at_mouse = mouse

    def clicked(self, times=1):
        self._at(mouse=True)
        self.clicks += times
        self.acts += 1

    def typed(self, text):
        self._at(mouse=False)
        self.keys += len(text)
        self.acts += 1

    def pressed(self, keys, times=1):
        """Keys that go with what was typed; they are no act of their own."""
        self._at(mouse=False)
        self.keys += len(keys.split("+")) * times

    @property
    def seconds(self):
        return (
            KEY_S * self.keys
            + (POINT_S + BUTTON_S) * self.clicks
            + HOME_S * self.homes
            + THINK_S * self.acts
            + PAGE_S * self.pages
        )


class Hands(Effort):
    """A designer's hands at a page: everything they do is counted."""

    def __init__(self, page):
        super().__init__()
        self.page = page
        page.on("load", self._another_page)

    def _another_page(self, _page):
        self.pages += 1

    def click(self, place):
        place.click()
        self.clicked()

    def choose(self, field, **choice):
        """A choice from a list: one click opens it, one takes the choice."""
        field.select_option(**choice)
        self.clicked(2)

    def type(self, text):
        """Each sign is a key; all but the first two come in at once, which takes a browser less time."""
        self.page.keyboard.type(text[:2])
        if text[2:]:
            self.page.keyboard.insert_text(text[2:])
        self.typed(text)

    def press(self, keys, times=1):
        for _ in range(times):
            self.page.keyboard.press(keys)
        self.pressed(keys, times)

    def fill(self, field, text):
        self.click(field)
        self.press("Control+a")
        self.type(text)

    def bring(self, text):
        """From another program: mark it with two clicks, copy, change the window; then paste it here."""
        self.clicked(2)
        self.pressed("Control+c")
        self.pressed("Alt+Tab")
        self.page.evaluate("text => navigator.clipboard.writeText(text)", text)
        self.press("Control+v")

    def lines(self, part, typed):
        """New lines of a part of the grid: a label, Tab, what it is, Enter."""
        self.click(self.page.locator(f"tbody[data-part={part}] tr.sheet-last > th"))
        for label, source in re.findall(r"^(.+?) = (.+)$", typed, re.MULTILINE):
            self.type(label)
            self.press("Tab")
            self.type(source)
            self.press("Enter")

    def save(self):
        self.page.evaluate("window.isOld = true")
        self.press("Control+s")
        self.page.wait_for_function("() => !window.isOld && document.readyState === 'complete'")


class Spreadsheet(Effort):
    """The same hands at a spreadsheet whose numbers are there: no page, nothing but counts."""

    def row(self, label, formula):
        """A row of its own: its label, its formula in the first size, filled to the right."""
        self.clicked()
        self.typed(label)
        self.pressed("Tab")
        self.typed(formula)
        self.pressed("Enter")
        self.clicked(2)  # the first and, with Shift, the last size
        self.pressed("Shift")
        self.pressed("Control+r")

    def cells(self, *texts):
        """Cells beside each other, typed."""
        for text in texts:
            self.typed(text)
            self.pressed("Tab")
