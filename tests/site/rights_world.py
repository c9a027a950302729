"""One of everything that an address can lead to, for the walk over all addresses."""

import datetime as dt
import hashlib
import io
import uuid
from types import SimpleNamespace

from django.core.files.base import ContentFile
from django.core.mail import EmailMessage
from PIL import Image

from catalogue.helps.helps import add_pictures, save_help
from catalogue.holders.holders import holder_key
from catalogue.holders.own_links import own_key
from catalogue.holders.pdf_links import give_pdf, pdf_key
from catalogue.models import (
    Edition,
    Erratum,
    Guard,
    Holder,
    Invitation,
    Letter,
    MakerQuestion,
    Notice,
    PatternAccess,
    PatternYarn,
    ShopLink,
    SignatureRequest,
    SupportPromise,
    TargetDate,
    Yarn,
    YarnShade,
    YarnSupport,
)
from catalogue.models.edition_choices import choices_code
from catalogue.photos.photos import add_photos, freeze_photos
from catalogue.photos.pictures import clean_picture
from catalogue.photos.swatches import add_swatch
from catalogue.special_stitches.stitches import add_pictures as add_stitch_pictures
from catalogue.special_stitches.stitches import newest_state, save_stitch
from catalogue.studio.mail_folder import FolderBackend, list_mails
from catalogue.studio.people import invite, invite_to_pattern
from catalogue.studio.roles import PATTERN_EDITOR
from catalogue.technical_edit.technical_edits import ask
from catalogue.versions.records import read_record
from grading.core.sizes.tables import SizeTable, TableMeasurement
from grading.sizes.tables import store_own_table
from testing.applications.applications import application_key
from testing.models import Entry, Result
from testing.places.places import give_place, offer_key
from testing.results.notes import save_note
from testing.results.own_photos import add_photo
from testing.results.results import add_remark, save_entry
from tests.builders import make_person, make_studio
from tests.testing.builders import make_application, make_call, make_pattern, make_place, make_version

SETUP_KEY = "first-designer"
INVITATION_KEY = "second-editor"
RIB = {"name": "plain_rib", "label": "Rib", "multiple": 1, "rows": ["Ch 1, sc in blo of each st, turn."]}
OPTIONS = [{"name": "neck", "label": "Neck", "choices": ["round", "deep"], "default": "round"}]


def make_world():
    """Everything, with people who stand in different relations to it."""
    make_studio()
    world = SimpleNamespace(
        people=make_people(), pattern=make_pattern(options=OPTIONS, stitch_patterns=[RIB])
    )
    let_editors_in(world)
    world.version = make_version(world.pattern)
    make_edition(world.version)
    world.photo = add_photos(pattern=world.pattern, photos=[(picture(), "A vest")], caption="")[0]
    world.release = make_version(world.pattern, number="1.0", kind="release")
    freeze_photos(version=world.release, record=read_record(world.release.record))
    world.edition = make_edition(world.release)
    world.call = make_call(pattern=world.pattern, version=False)
    type(world.call).objects.filter(pk=world.call.pk).update(version=world.version)
    world.call.refresh_from_db()
    fill_call(world)
    make_short_garments(world)
    world.swatch = add_swatch(
        pattern=world.pattern, picture=None, fabric="main", made_on="2026-03-02", over="10 cm",
        after_stitches=14, after_rows=10,
    )  # fmt: skip
    world.photo_name = world.photo.files[0]["name"].rpartition("/")[2]
    world.erratum = Erratum.objects.create(
        pattern=world.pattern, place="values.chest", found_in=world.version
    )
    world.help = save_help(found=None, by=None, title="Chain", text="Draw each loop up.", terms=["ch"])
    add_pictures(found=world.help, pictures=[(picture(), "A chain")], caption="")
    world.help_picture = world.help.pictures.get()
    bobble = {"label": "Bobble", "short": "MB", "craft": "crochet", "terms": "US", "method": "Hold 5 loops."}
    world.stitch = save_stitch(stitch=None, by=None, **bobble).stitch
    add_stitch_pictures(stitch=world.stitch, pictures=[(picture(), "A bobble")], caption="", by=None)
    world.stitch_picture = newest_state(world.stitch).pictures.get()
    world.shop = ShopLink.objects.create(
        pattern=world.pattern, label="Larkmoss shop", address="https://127.0.0.1/"
    )
    world.date = TargetDate.objects.create(pattern=world.pattern, what="Photos", due_on="2026-03-02")
    world.question = MakerQuestion.objects.create(
        pattern=world.pattern, version=world.release, place="sections[0].steps[0]", says="Which row?",
        asked_on="2026-03-02",
    )  # fmt: skip
    world.support = YarnSupport.objects.create(
        giver="Fulling Lane Mill", email="mill@larkmoss.example", given="12 balls", pattern=world.pattern
    )
    world.promise = SupportPromise.objects.create(
        support=world.support, says="Name the mill", due_on="2026-03-09"
    )
    world.yarn = Yarn.objects.create(
        name="Larkmoss Orrendale", put_up_g=50, length_per_100g_m=220, ended_on=dt.date(2026, 3, 2)
    )
    world.shade = YarnShade.objects.create(yarn=world.yarn, name="Peat", srgb="#4a3728")
    PatternYarn.objects.create(pattern=world.pattern, colour="A", yarn=world.yarn, shade=world.shade)
    type(world.remark).objects.filter(pk=world.remark.pk).update(help=world.help)
    world.query = ask(pattern=world.pattern, place="values.chest", asks="Why so wide?", by=None)
    world.guard = Guard.objects.create(erratum=world.erratum, holds="chest > 1 cm", says="Too small.")
    held = {"pattern": world.pattern, "version": world.release}
    world.holder = Holder.objects.create(email="holder@larkmoss.example", **held)
    world.other_holder = Holder.objects.create(email="other@larkmoss.example", **held)
    world.holder_key = holder_key(world.holder)
    world.own_key = own_key(world.holder)
    give_pdf(holder=world.holder, version=world.release)
    world.pdf_key = pdf_key(world.holder)
    world.notice = Notice.objects.create(version=world.release)
    world.invitation = invite(email="ida@larkmoss.example", role="editor", may_publish=False)
    make_keys()
    world.mail = make_mail()
    world.task_key = uuid.UUID(int=1)
    world.letter = Letter.objects.create(to="ida@larkmoss.example", subject="Hello", state="failed")
    bust = TableMeasurement("bust", "Bust girth", (84.0, 92.0))
    world.own_table = store_own_table(table=SizeTable("Larkmoss women", "cm", ("S", "M"), (bust,)))
    return world


def let_editors_in(world):
    """Two editors of single patterns: of the one that all addresses lead to, and of another."""
    world.elsewhere = make_pattern(title="Heathermoor Vest")
    of_it, elsewhere = (world.people[name] for name in ("editor of the pattern", "editor elsewhere"))
    world.access = PatternAccess.objects.create(pattern=world.pattern, person=of_it)
    PatternAccess.objects.create(pattern=world.elsewhere, person=elsewhere)
    world.signature = SignatureRequest.objects.create(pattern=world.pattern, editor=of_it)
    world.pattern_invitation = invite_to_pattern(email="moss@larkmoss.example", pattern=world.pattern)


def make_people():
    return {
        "designer": make_person(role="designer"),
        "editor": make_person(role="editor"),
        "publishing editor": make_person(role="editor", may_publish=True),
        "tester": make_person(role="tester", email="wren@larkmoss.example"),
        "other tester": make_person(role="tester"),
        "editor of the pattern": make_person(role=PATTERN_EDITOR),
        "editor elsewhere": make_person(role=PATTERN_EDITOR),
        "nobody": None,
    }


def fill_call(world):
    """A tester's place with results, an open offer and a fresh application."""
    world.place = make_place(world.call, size="M")
    assert world.place.person == world.people["tester"]
    world.result_photo = add_photo(placement=world.place, photo=picture(), alt="My vest")
    world.remark = add_remark(placement=world.place, place="sections[0].steps[0]", text="Twelve too many?")
    world.result = world.remark.result
    world.note = save_note(placement=world.place, text="It grows in the wash.")
    save_entry(
        placement=world.place,
        part="measured",
        name="chest",
        typed={"length": "92 cm"},
        meant={"mm": 920.0},
    )
    agreed = {"credit": "Wren", "until": "", "consent": "Yes."}
    save_entry(placement=world.place, part="photo_use", name="page", typed={}, meant=agreed)
    world.application = make_application(
        world.call, name="Ada Reed", email="ada@larkmoss.example", access_needs="Large print, please"
    )
    world.application_key = application_key(world.application)
    offered = make_application(world.call, name="Moss Fell", email="moss@larkmoss.example")
    world.offer_key = offer_key(give_place(application=offered, size="L"))


def make_short_garments(world):
    """Garments of testers whose data is erased, 40 mm too short in every size: a verdict with a mend."""
    # rows of the rib and of the body at the pattern's gauge, in mm (derived)
    planned = {"S": 15 / 0.30 + 140 / 0.28, "M": 15 / 0.30 + 146 / 0.28, "L": 15 / 0.30 + 152 / 0.28}
    entries = []
    for size, length_mm in planned.items():
        for off_mm in (-43, -40, -38):
            result = Result.objects.create(call=world.call, version=world.version, size=size)
            gauges = (("main", {"stitches": 0.20, "rows": 0.28}), ("rib", {"stitches": 0.22, "rows": 0.30}))
            entries += [Entry(result=result, part="gauge", name=name, meant=meant) for name, meant in gauges]
            meant = {"mm": length_mm + off_mm}
            entries.append(Entry(result=result, part="measured", name="body_length", meant=meant))
    Entry.objects.bulk_create(entries)


def make_edition(version):
    choices = {
        "hand": "right",
        "units": "cm",
        "terms": "US",
        "sizes": "all",
        "print": "screen",
        "paper": "A4",
    }
    edition = Edition(
        version=version,
        choices=choices,
        code=choices_code(choices),
        state="made",
        sha256=hashlib.sha256(b"%PDF").hexdigest(),
        size_bytes=4,
        pages=1,
    )
    edition.file.save("one.pdf", ContentFile(b"%PDF"), save=False)
    edition.save()
    return edition


def make_keys():
    for key, email in ((SETUP_KEY, ""), (INVITATION_KEY, "olive@larkmoss.example")):
        digest = hashlib.sha256(key.encode()).hexdigest()
        Invitation.objects.create(role="designer" if not email else "editor", email=email, key_hash=digest)


def make_mail():
    said = EmailMessage("Hello", "Text", "a@larkmoss.example", ["b@larkmoss.example"])
    FolderBackend().send_messages([said])
    return list_mails()[0].name


def picture():
    file = io.BytesIO()
    Image.new("RGB", (400, 300), "teal").save(file, "JPEG")
    file.seek(0)
    return clean_picture(file)
