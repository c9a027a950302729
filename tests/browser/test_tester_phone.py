"""A tester's whole path on a phone: the connection lost, the page closed, the session over in between."""

import re

import pytest
from django.test import Client
from playwright.sync_api import expect

from testing.models import Entry, Remark, Result, ResultPhoto
from tests.browser.looks import problems
from tests.browser.waiting import wait_until
from tests.catalogue.pictures import jpeg
from tests.testing.builders import make_person

pytestmark = [
    pytest.mark.browser,
    # Cutting the connection leaves the server's end of it to be collected.
    pytest.mark.filterwarnings("ignore::ResourceWarning"),
]

KEPT = "Kept on this phone; it will be sent when the connection is back."
IS_KEPT_WITH_34 = (
    """async path => (await (await caches.match(path, {ignoreVary: true})).text()).includes('"34"')"""
)

IS_DRAFT = """async typed => Object.keys(localStorage)
  .some(key => key.includes("making") && localStorage.getItem(key).includes(typed))"""


@pytest.fixture
def live_server(file_server):
    """Pages of these tests ask for several things at once, as a phone does whose connection comes back."""
    return file_server


def check_looks(page, *themes):
    for theme in themes or ("light",):
        page.emulate_media(color_scheme=theme, reduced_motion="reduce")
        assert problems(page, least_height=44) == [], (page.url, theme)


def question(page):
    return page.locator("[data-question] form")


def send(page):
    question(page).locator("[type=submit]").click()


def cut(page, *, is_cut=True):
    page.context.set_offline(is_cut)


def kept(page):
    return page.locator("#kept")


def gone_through(page, said="The answer that was kept on this phone has been sent."):
    """The connection is back, and what was kept has been sent."""
    cut(page, is_cut=False)
    expect(kept(page)).to_contain_text(said)


def reopen(page, address):
    """The page was closed while there was no connection, and is opened again when there is one."""
    page.goto("about:blank")
    cut(page, is_cut=False)
    page.goto(address)


def session_of(person, live_server):
    client = Client()
    client.force_login(person)
    return {"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}


def store_of(page):
    return page.evaluate("() => Object.keys(localStorage).filter(key => key.startsWith('evenrow making'))")


def measured():
    return {entry.name: entry.typed["length"] for entry in Entry.objects.filter(part="measured")}


def open_chest(page, place):
    page.goto(f"/making/{place.pk}/measure/chest/")


def test_the_whole_path_with_the_connection_cut_in_the_middle(window, place, tmp_path):
    page = window(width=320, person=place.person)
    page.goto(f"/making/{place.pk}/")
    check_looks(page, "dark", "light")
    page.get_by_role("link", name=re.compile("^Next: Gauge")).click()
    page.locator("input[name=stitches]").fill("14.2")
    page.locator("input[name=rows]").fill("10.1")
    check_looks(page, "dark", "light")
    send(page)
    expect(kept(page)).to_have_text("Sent.")

    open_chest(page, place)
    expect(page.locator("svg.schematic .dimension")).to_have_count(1)
    check_looks(page, "dark", "light")
    page.locator("input[name=length]").fill("107.5")
    cut(page)
    send(page)
    expect(kept(page)).to_contain_text(KEPT)
    check_looks(page, "dark", "light")
    assert measured() == {}

    reopen(page, f"/making/{place.pk}/measure/chest/")
    expect(kept(page)).to_contain_text("The answer that was kept on this phone has been sent.")
    assert measured() == {"chest": "107.5"}
    assert store_of(page) == []
    page.get_by_role("link", name="Next question", exact=True).click()
    expect(page.get_by_text("You entered 107.5 cm.")).to_be_visible()
    check_looks(page, "dark", "light")

    send_the_rest(page, place, tmp_path)
    page.get_by_role("link", name="I am done …").click()
    check_looks(page, "dark", "light")
    page.get_by_role("button", name="I am done all the same").click()
    expect(page.get_by_role("heading", name="Thank you")).to_be_visible()
    expect(page.get_by_role("heading", name="Still missing")).to_be_visible()
    check_looks(page, "dark", "light")
    assert Result.objects.get().done_at is not None


def send_the_rest(page, place, tmp_path):
    for name, fields in {
        "yarn": {"colour_0": "560"},
        "hours": {"hours": "41"},
        "note": {"text": "I left out the pocket."},
    }.items():
        page.goto(f"/making/{place.pk}/{name}/")
        for field, typed in fields.items():
            page.locator(f"[name={field}]").fill(typed)
        send(page)
        expect(kept(page)).to_contain_text("Sent.")
    picture = tmp_path / "front.jpg"
    picture.write_bytes(jpeg())
    page.goto(f"/making/{place.pk}/photo/")
    check_looks(page, "dark", "light")
    page.locator("input[name=photo]").set_input_files(picture)
    page.locator("input[name=alt]").fill("The front, lying flat.")
    send(page)
    expect(kept(page)).to_contain_text("Sent.")
    page.goto(f"/making/{place.pk}/remark/")
    page.locator("select[name=place]").select_option("sections[0].steps[2]")
    page.locator("textarea[name=text]").fill("I end with 38, not 40.")
    send(page)
    expect(kept(page)).to_contain_text("Sent.")
    assert set(Entry.objects.values_list("part", flat=True)) == {"gauge", "measured", "yarn", "hours", "note"}
    assert (ResultPhoto.objects.count(), Remark.objects.count()) == (1, 1)


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_the_questions_can_be_read_and_answered_without_a_connection(window, place):
    page = window(width=320, person=place.person, worker="allow")
    page.goto(f"/making/{place.pk}/")
    page.wait_for_function("() => navigator.serviceWorker.controller")
    expect(page.locator("html[data-questions-kept]")).to_be_attached()
    cut(page)
    page.get_by_role("link", name="Chest").click()
    for name, typed in {"chest": "107.5", "neck_width": "20"}.items():
        expect(page).to_have_url(re.compile(f"/measure/{name}/$"))
        page.locator("input[name=length]").fill(typed)
        wait_until(page, IS_DRAFT, typed)
        page.reload()
        expect(page.locator("input[name=length]")).to_have_value(typed)
        send(page)
        expect(kept(page)).to_contain_text("when the connection is back")
        page.get_by_role("link", name="Skip for now").click()
    check_looks(page)
    gone_through(page, "2 answers that were kept on this phone have been sent.")
    assert measured() == {"chest": "107.5", "neck_width": "20"}
    check_what_is_not_kept(page, f"/making/{place.pk}/time/", back=f"/making/{place.pk}/")
    cut(page, is_cut=False)
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("link", name="Sign in").first).to_be_visible()
    check_what_is_not_kept(page, f"/making/{place.pk}/", back="/making/")
    assert page.evaluate("() => caches.keys()") == []


def check_what_is_not_kept(page, address, *, back):
    """Without a connection it is told by a page that leads to what is kept."""
    cut(page)
    page.goto(address)
    expect(page.get_by_role("heading", name="No connection")).to_be_visible()
    check_looks(page)
    leads_back = page.get_by_role("link", name="Back to your garment")
    expect(leads_back).to_have_attribute("href", back)
    leads_back.click()
    page.wait_for_url(re.compile(f"{back}$"))


def type_before_the_scripts(page, place, typed):
    """On a slow line a page can be typed into before its scripts are here."""
    waiting = []
    page.route("**/making/memory*.js", lambda route: waiting.append(route))
    page.goto(f"/making/{place.pk}/measure/chest/", wait_until="commit")
    page.locator("input[name=length]").fill(typed)
    assert page.locator("#kept").count() == 0
    for one in waiting:
        one.continue_()
    page.unroute("**/making/memory*.js")


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_what_is_only_typed_survives_a_reload_and_can_be_thrown_away(phone, place):
    for typed in ("107.5", "96.5"):  # the second over the first
        type_before_the_scripts(phone, place, typed)
        wait_until(phone, IS_DRAFT, typed)
    phone.reload()
    expect(phone.locator("input[name=length]")).to_have_value("96.5")
    expect(phone.locator("#typed-before")).to_contain_text("have not sent it yet")
    check_looks(phone)
    phone.goto(f"/making/{place.pk}/")
    expect(kept(phone)).to_contain_text("Typed on this phone and not sent yet: ")
    kept(phone).get_by_role("link").click()
    phone.get_by_role("button", name="Throw it away").click()
    expect(phone.locator("input[name=length]")).to_have_value("")
    assert store_of(phone) == []


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_the_newest_of_several_answers_kept_is_the_one_that_arrives(phone, place):
    open_chest(phone, place)
    cut(phone)
    for typed in ("96", "96.5"):
        phone.locator("input[name=length]").fill(typed)
        send(phone)
        expect(kept(phone)).to_contain_text(KEPT)
    gone_through(phone)
    assert measured() == {"chest": "96.5"}


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_remarks_written_without_a_connection_all_arrive_and_none_twice(phone, place):
    phone.goto(f"/making/{place.pk}/remark/")
    cut(phone)
    for text in ("38 stitches, not 40.", "Where do I begin?"):
        phone.locator("select[name=place]").select_option("sections[0].steps[2]")
        phone.locator("textarea[name=text]").fill(text)
        send(phone)
        expect(phone.locator("textarea[name=text]")).to_have_value("")
    expect(kept(phone)).to_contain_text("2 answers are kept on this phone")
    gone_through(phone, "2 answers that were kept on this phone have been sent.")
    assert sorted(Remark.objects.values_list("text", flat=True)) == [
        "38 stitches, not 40.",
        "Where do I begin?",
    ]


def test_an_answer_that_arrived_though_its_receipt_was_lost_is_kept_once(phone, place):
    phone.goto(f"/making/{place.pk}/remark/")

    def lose_receipt(route):
        if route.request.method == "POST":
            route.fetch(max_redirects=0)
            route.abort()
        else:
            route.continue_()

    phone.route("**/remark/", lose_receipt)
    phone.locator("select[name=place]").select_option("sections[0].steps[2]")
    phone.locator("textarea[name=text]").fill("38 stitches, not 40.")
    send(phone)
    expect(kept(phone)).to_contain_text(KEPT)
    assert Remark.objects.count() == 1
    phone.unroute("**/remark/")
    phone.reload()
    expect(kept(phone)).to_contain_text("The answer that was kept on this phone has been sent.")
    assert Remark.objects.count() == 1


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_a_photo_taken_without_a_connection_arrives(phone, place, tmp_path):
    picture = tmp_path / "front.jpg"
    picture.write_bytes(jpeg())
    phone.goto(f"/making/{place.pk}/photo/")
    cut(phone)
    phone.locator("input[name=photo]").set_input_files(picture)
    phone.locator("input[name=alt]").fill("The front, lying flat.")
    send(phone)
    expect(kept(phone)).to_contain_text(KEPT)
    gone_through(phone)
    expect(phone.locator("[data-renewed=before]")).to_contain_text("The front, lying flat.")
    expect(phone.locator("[data-renewed=progress]")).to_have_text(re.compile("^1 of "))
    assert ResultPhoto.objects.get().alt == "The front, lying flat."


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_after_a_kept_answer_has_gone_the_next_one_is_no_change_to_it(window, place):
    page = window(width=320, person=place.person, worker="allow")
    page.goto(f"/making/{place.pk}/")
    page.wait_for_function("() => navigator.serviceWorker.controller")
    expect(page.locator("html[data-questions-kept]")).to_be_attached()
    page.goto(f"/making/{place.pk}/hours/")
    before = page.locator(".sent").inner_text()

    def answer(hours):
        page.locator("input[name=hours]").fill(hours)
        send(page)

    cut(page)
    answer("33")
    expect(kept(page)).to_contain_text(KEPT)
    gone_through(page)
    expect(page.locator(".sent")).not_to_have_text(before)
    expect(page.locator("[data-renewed=before]")).to_contain_text("33")
    answer("34")
    expect(kept(page)).to_contain_text("Sent.")
    address = f"/making/{place.pk}/hours/"
    wait_until(page, IS_KEPT_WITH_34, address)
    cut(page)
    page.goto(address)  # as it is kept on the phone
    answer("35")
    expect(kept(page)).to_contain_text(KEPT)
    gone_through(page)
    assert Entry.objects.get(part="hours").typed == {"hours": "35"}


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_a_session_that_is_over_asks_to_sign_in_and_loses_nothing(phone, place, live_server):
    cookie = session_of(place.person, live_server)
    open_chest(phone, place)
    phone.locator("input[name=length]").fill("96.5")
    phone.context.clear_cookies(name="sessionid")
    send(phone)
    expect(kept(phone)).to_contain_text("You are signed out")
    assert measured() == {}
    kept(phone).get_by_role("link", name="sign in").click()
    expect(phone).to_have_url(re.compile(rf"/account/login/code/\?next=.*{place.pk}"))
    phone.context.add_cookies([cookie])
    phone.context.clear_cookies(name="csrftoken")
    open_chest(phone, place)
    expect(kept(phone)).to_contain_text("The answer that was kept on this phone has been sent.")
    assert measured() == {"chest": "96.5"}


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_what_the_studio_does_not_take_stays_with_its_sentence(phone, place):
    open_chest(phone, place)
    cut(phone)
    phone.locator("input[name=length]").fill("about so long")
    send(phone)
    expect(kept(phone)).to_contain_text(KEPT)
    reopen(phone, f"/making/{place.pk}/")
    expect(kept(phone)).to_contain_text("Not taken yet, and kept on this phone")
    check_looks(phone)
    kept(phone).get_by_role("link").click()
    expect(phone.locator("input[name=length]")).to_have_value("about so long")
    send(phone)
    expect(phone.locator(".invalid-feedback")).to_be_visible()
    expect(phone.locator("input[name=length]")).to_have_value("about so long")
    phone.locator("input[name=length]").fill("96.5")
    send(phone)
    expect(kept(phone)).to_have_text("Sent.")
    assert store_of(phone) == []


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_signing_out_tells_what_is_not_sent_and_then_takes_it_from_the_phone(phone, place, live_server):
    open_chest(phone, place)
    phone.locator("input[name=length]").fill("96.5")
    phone.get_by_role("button", name="Sign out").click()
    expect(kept(phone)).to_contain_text("Press “Sign out” again")
    phone.get_by_role("button", name="Sign out").click()
    expect(phone.get_by_role("link", name="Sign in").first).to_be_visible()
    assert store_of(phone) == []
    # Whoever signs in again on it answers as before.
    phone.context.add_cookies([session_of(place.person, live_server)])
    open_chest(phone, place)
    phone.locator("input[name=length]").fill("97")
    assert len(store_of(phone)) == 1
    send(phone)
    expect(kept(phone)).to_have_text("Sent.")
    assert measured() == {"chest": "97"}


@pytest.mark.only_keeps_rows("the phone keeps and sends it; the whole path here stores the same on both")
def test_another_tester_on_the_same_phone_sees_and_sends_nothing_of_it(phone, place, live_server):
    cookie = session_of(make_person("moss@larkmoss.example"), live_server)
    open_chest(phone, place)
    cut(phone)
    phone.locator("input[name=length]").fill("96.5")
    send(phone)
    expect(kept(phone)).to_contain_text(KEPT)
    phone.context.add_cookies([cookie])
    reopen(phone, "/making/")
    expect(kept(phone)).to_have_text("")
    assert measured() == {}


@pytest.mark.only_keeps_rows("tests of its page send the same plain form")
def test_without_javascript_each_answer_goes_as_a_plain_form(window, place):
    page = window(width=320, person=place.person, javascript=False)
    open_chest(page, place)
    page.locator("input[name=length]").fill("96.5")
    send(page)
    expect(page.get_by_text("You entered 96.5 cm.")).to_be_visible()
    assert measured() == {"chest": "96.5"}
