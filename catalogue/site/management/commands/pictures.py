"""Takes the pictures of README from the demo, so that they show the studio as it is."""

import io
import json
import re
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from PIL import Image

FOLDER = Path(settings.BASE_DIR) / "catalogue" / "site" / "pictures"
WIDE: Any = {"width": 1400, "height": 900}
PHONE: Any = {"width": 390, "height": 760}
TESTER = "ysolde@larkmoss.example"
LONGEST_S = 300


class Command(BaseCommand):
    """Opens the demo in a folder of its own, looks at it with Chromium, and writes four pictures."""

    help = "Make README's pictures again from the demo; needs Chromium and pdftoppm."
    requires_system_checks = ()

    def handle(self, *args: Any, **options: Any) -> None:
        """Take all, or none."""
        for tool, package in (("chromium", "chromium"), ("pdftoppm", "poppler-utils")):
            if shutil.which(tool) is None:
                raise CommandError(f"{tool} is missing. Install it: apt-get install -y {package}")
        with tempfile.TemporaryDirectory() as folder, _demo(Path(folder)) as address:
            pictures = _taken(address, _password(Path(folder)))
        for name, picture in pictures.items():
            picture.convert("RGB").save(FOLDER / f"{name}.webp", quality=82, method=6)
            self.stdout.write(f"{name}.webp: {picture.width} x {picture.height}")


@contextmanager
def _demo(folder: Path) -> Iterator[str]:
    """The demo, answering at an address, until the work is done."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, str(settings.BASE_DIR / "manage.py"), "demo", "--port", str(port)]
    environment = {"PATH": "/usr/bin:/bin", "EVENROW_DATA": str(folder)}
    server = subprocess.Popen(command, env=environment, stdout=subprocess.DEVNULL)  # noqa: S603  our own
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(f"{address}/guide/", server)
        yield address
    finally:
        server.terminate()
        server.wait(timeout=60)


def _wait_for(address: str, server: "subprocess.Popen[bytes]") -> None:
    """Return once the server answers."""
    for _ in range(LONGEST_S):
        if server.poll() is not None:
            raise CommandError("The demo ended by itself; run it by hand to see why.")
        try:
            urllib.request.urlopen(address, timeout=5).close()  # noqa: S310  on this machine
        except OSError:
            time.sleep(1)
        else:
            return
    raise CommandError(f"The demo did not answer within {LONGEST_S} seconds.")


def _password(folder: Path) -> str:
    """The designer's password of this demo."""
    people = json.loads((folder / "log-ins.json").read_text())
    return str(next(one["password"] for one in people if one["role"] == "designer"))


def _taken(address: str, password: str) -> dict[str, Image.Image]:
    """The four pictures by their names."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        designer = browser.new_context(base_url=address, viewport=WIDE).new_page()
        designer.goto("/account/login/")
        designer.fill("[name=login]", "designer@larkmoss.example")
        designer.fill("[name=password]", password)
        designer.click("main button[type=submit]")
        designer.wait_for_url("**/desk/")
        phone = browser.new_context(base_url=address, viewport=PHONE, device_scale_factor=2).new_page()
        pictures = {
            "sheet": _sheet(designer),
            "results": _results(designer),
            "pdf": _pdf_page(designer),
            "phone": _phone(phone, designer),
        }
        browser.close()
    return pictures


def _sheet(page: Any) -> Image.Image:
    """The sheet with a cell chosen, so that it says where the number comes from."""
    page.goto("/desk/brackenmere-pullover/sheet/")
    page.get_by_role("row", name=re.compile("Back and front, stitches")).get_by_role("gridcell").nth(
        4
    ).click()
    page.wait_for_timeout(1_000)
    return _seen(page.screenshot())


def _results(page: Any) -> Image.Image:
    """What the results say, with the picture of all measurements."""
    page.goto("/desk/cinderfell-raglan/calls/1/results/")
    picture = page.locator("svg").filter(has_text="Chest").last
    picture.scroll_into_view_if_needed()
    return _seen(picture.screenshot())


def _pdf_page(page: Any) -> Image.Image:
    """The first page of the newest PDF."""
    page.goto("/desk/brackenmere-pullover/versions/")
    link = page.locator("a[href^='/files/editions/']").first.get_attribute("href")
    content = page.request.get(link).body()
    with tempfile.TemporaryDirectory() as folder:
        target = Path(folder) / "page"
        draw = ["pdftoppm", "-r", "80", "-f", "1", "-singlefile", "-png", "-", str(target)]
        subprocess.run(draw, input=content, check=True)  # noqa: S603
        return _seen(target.with_suffix(".png").read_bytes())


def _phone(page: Any, designer: Any) -> Image.Image:
    """A tester's page on a phone; the code to sign in lands on the designer's page of e-mails."""
    page.goto("/account/login/code/")
    page.fill("[name=email]", TESTER)
    page.click("main button[type=submit]")
    page.wait_for_load_state()
    page.fill("[name=code]", _code(designer))
    page.click("main button[type=submit]")
    page.wait_for_load_state()
    page.locator("main a[href^='/making/']").first.click()
    page.wait_for_load_state()
    return _seen(page.screenshot())


def _code(designer: Any) -> str:
    """The code in the newest e-mail, once it is there."""
    for _ in range(30):
        designer.goto("/studio/mails/")
        mail = designer.get_by_role("row", name=TESTER).get_by_role("link", name="Your code to sign in")
        if mail.count():
            mail.first.click()
            designer.wait_for_load_state()
            found = re.search(
                r"^\s*([A-Z0-9-]{6,9})\s*$", designer.locator("main").inner_text(), re.MULTILINE
            )
            if found:
                return found[1]
        time.sleep(1)
    raise CommandError("The tester's code did not come.")


def _seen(content: bytes) -> Image.Image:
    """A picture from its bytes."""
    picture = Image.open(io.BytesIO(content))
    picture.load()
    return picture
