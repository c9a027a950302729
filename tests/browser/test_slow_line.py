"""Photos on a slow line: 400 kbit/s and 300 ms. Small answers go past them, and what was cut off goes on."""

import io
import re

import numpy as np
import pytest
from PIL import Image
from playwright.sync_api import expect

from testing.models import Entry, PhotoPiece, ResultPhoto
from tests.browser.test_tester_phone import question, send

pytestmark = [
    pytest.mark.browser,
    # Cutting the connection leaves the server's end of it to be collected.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]
SLOW = {"offline": False, "latency": 300, "downloadThroughput": 50_000, "uploadThroughput": 50_000}
FAST = {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1}
KEPT_PICTURE = """async () => {
    for (const name of await caches.keys()) {
        const kept = await caches.open(name);
        for (const asked of await kept.keys()) {
            if (asked.url.includes("/kept-picture/")) {
                return Array.from(new Uint8Array(await (await kept.match(asked)).arrayBuffer()));
            }
        }
    }
}"""
# Whether an answer with these words waits on the phone.
WAITS = """words => Object.entries(localStorage).some(
    ([key, kept]) => key.includes("unsent") && kept.includes(words)
)"""
ON_ITS_SIDE = 6  # Exif 2.32, 4.6.4: turn it a quarter clockwise
PLACE_TAG = 0x8825  # Exif 2.32: GPS


@pytest.fixture
def live_server(file_server):
    """Pages of these tests ask for several things at once, as a phone does whose connection comes back."""
    return file_server


def noisy_photo(seed, size):
    """A photo as a phone takes it: it lies on its side, tells its place, and packs badly."""
    grain = np.random.default_rng(seed).integers(0, 255, (size[1] // 8, size[0] // 8, 3), dtype=np.uint8)
    picture = Image.fromarray(grain).resize(size)
    exif = Image.Exif()
    exif[0x0112] = ON_ITS_SIDE
    exif[PLACE_TAG] = {1: "N", 2: (50.0, 1.0, 2.0)}
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=92, exif=exif)
    return file.getvalue()


def choose(page, place, content, alt):
    page.goto(f"/making/{place.pk}/photo/")
    page.locator("input[name=photo]").set_input_files(
        {"name": "front.jpg", "mimeType": "image/jpeg", "buffer": content}
    )
    page.locator("input[name=alt]").fill(alt)


def line_of(page):
    session = page.context.new_cdp_session(page)
    session.send("Network.enable")
    return lambda conditions: session.send("Network.emulateNetworkConditions", conditions)


def test_answers_go_past_a_photo_that_is_cut_off_and_goes_on_upright_without_its_place(
    phone,
    place,
    full,
):
    size = (4000, 3000) if full else (1200, 900)
    choose(phone, place, noisy_photo(1, size), "The front, worn.")
    line = line_of(phone)
    line(SLOW)
    send(phone)
    expect(phone.locator("#kept progress")).to_be_visible()
    expect(phone.locator("#kept progress")).not_to_have_js_property("value", 0)
    phone.goto(f"/making/{place.pk}/hours/")
    phone.locator("input[name=hours]").fill("42")
    send(phone)
    phone.wait_for_url(lambda url: not url.endswith("/hours/"))
    assert Entry.objects.get().typed == {"hours": "42"}
    assert not ResultPhoto.objects.exists(), "the answer came first"
    came = PhotoPiece.objects.count()
    assert came
    posted = []
    phone.on("request", lambda asked: posted.append(asked) if "/pieces/" in asked.url else None)
    line(FAST)
    phone.reload()
    expect(phone.locator("#kept")).to_contain_text("The answer that was kept on this phone has been sent.")
    photo = ResultPhoto.objects.get()
    assert photo.width_px < photo.height_px, "it stands upright"
    sent_from = [asked.url.partition("?at=")[2] for asked in posted if asked.method == "POST"]
    assert "0" not in sent_from, "what had come was not sent again"
    assert not PhotoPiece.objects.exists()


@pytest.mark.only_keeps_rows("the phone makes it small; nothing is sent")
def test_a_photo_is_made_small_and_upright_and_loses_its_place_on_the_phone(phone, place):
    file, exif = io.BytesIO(), Image.Exif()
    exif[0x0112], exif[PLACE_TAG] = ON_ITS_SIDE, {1: "N", 2: (50.0, 1.0, 2.0)}
    Image.new("RGB", (3000, 2400), "teal").save(file, "JPEG", exif=exif)
    choose(phone, place, file.getvalue(), "The back.")
    phone.context.set_offline(True)
    send(phone)
    expect(phone.locator("#kept")).to_contain_text("Kept on this phone")
    kept = bytes(phone.evaluate(KEPT_PICTURE))
    with Image.open(io.BytesIO(kept)) as picture:
        assert picture.size == (1760, 2200)
        assert picture.format == "JPEG"
        assert not picture.getexif()


@pytest.mark.only_keeps_rows("the phone says it; nothing is sent")
@pytest.mark.parametrize(
    ("name", "kind", "says"),
    [
        ("front.heic", "image/heic", "This is a HEIC picture"),
        ("front.pdf", "application/pdf", "We can’t read this picture"),
    ],
)
def test_what_cannot_be_a_photo_is_said_before_anything_is_sent(
    phone,
    place,
    name,
    kind,
    says,
):
    sent = []
    phone.on("request", lambda asked: sent.append(asked.url) if asked.method == "POST" else None)
    phone.goto(f"/making/{place.pk}/photo/")
    phone.locator("input[name=alt]").fill("The front.")
    phone.locator("input[name=photo]").set_input_files({"name": name, "mimeType": kind, "buffer": b"x" * 99})
    expect(phone.locator("#picture-trouble")).to_contain_text(says)
    question(phone).locator("[type=submit]").click()
    expect(phone.locator("#picture-trouble")).to_contain_text(says)
    assert not sent


def answers_of(place):
    """Six small questions with what is typed there."""
    pk = place.pk
    return [
        (f"/making/{pk}/hours/", {"hours": "42"}),
        (f"/making/{pk}/note/", {"text": "The neck is lovely."}),
        (f"/making/{pk}/measure/chest/", {"length": "107.5"}),
        (f"/making/{pk}/measure/body_length/", {"length": "60"}),
        (f"/making/{pk}/measure/wrist/", {"length": "22"}),
        (f"/making/{pk}/measure/sleeve_length/", {"length": "44"}),
    ]


@pytest.mark.only_keeps_rows("the phone says what goes first; the first test here stores pieces on both")
def test_six_answers_and_two_photos_arrive_the_small_ones_first_though_the_page_is_killed(phone, place):
    passed = iter([True])
    phone.route(
        "**/pieces/**",
        lambda one: one.continue_() if one.request.method != "POST" or next(passed, False) else one.abort(),
    )  # the line drops after the first piece of a photo
    for seed, alt in ((1, "The front."), (2, "The back.")):
        choose(phone, place, noisy_photo(seed, (1200, 900)), alt)
        phone.context.set_offline(True)
        send(phone)
        phone.wait_for_function(WAITS, arg=alt)
        expect(phone.locator("#kept")).to_contain_text(re.compile("kept on this phone", re.IGNORECASE))
        phone.goto("about:blank")
        phone.context.set_offline(False)
    line_of(phone)(SLOW)
    for path, typed in answers_of(place):
        phone.goto(path)
        for name, words in typed.items():
            phone.locator(f"[name={name}]").fill(words)
        send(phone)
        phone.wait_for_url(lambda url, path=path: not url.endswith(path))
    assert Entry.objects.count() == 6
    assert not ResultPhoto.objects.exists(), "the answers came first"
    context = phone.context
    phone.close()  # killed in the middle of a photo
    came = PhotoPiece.objects.count()
    again = context.new_page()
    posted = []
    again.on("request", lambda asked: posted.append(asked) if "/pieces/" in asked.url else None)
    again.goto(f"/making/{place.pk}/")
    for alt in ("The front.", "The back."):
        again.wait_for_function(f"words => !({WAITS})(words)", arg=alt, timeout=60_000)
    expect(again.locator("#kept")).to_contain_text(re.compile("kept on this phone .* been sent"))
    assert sorted(ResultPhoto.objects.values_list("alt", flat=True)) == ["The back.", "The front."]
    assert not PhotoPiece.objects.exists()
    begun = [asked.url for asked in posted if asked.method == "POST" and asked.url.endswith("?at=0")]
    assert came == 0 or len(begun) < 2, "what had come was not sent again"
