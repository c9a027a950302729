"""Who may use which address. Every address of the program has its row here; a new one needs one.

A row says who may use the address, how it is used, and what its parts stand for in the test's world:

    "desk_pattern": page(STUDIO, slug=PATTERN)        a page that is only looked at
    "undo": action(STUDIO, slug=PATTERN)              an address that only takes what is sent
    "value": form(STUDIO, slug=PATTERN, name="chest") a page that is looked at and takes what is sent

Everybody signed in who is not named gets 404; nobody is asked to sign in, unless `nobody` says otherwise.
`answers` names what those who may are answered where it is not the usual.
"""

from dataclasses import dataclass, field, replace
from typing import Any

from tests.site.rights_world import INVITATION_KEY, SETUP_KEY

DESIGNER = frozenset({"designer"})
PUBLISHERS = frozenset({"designer", "publishing editor"})
EDITORS = frozenset({"editor", "publishing editor"})
STUDIO = frozenset({"designer", "editor", "publishing editor"})
# An editor who was let into the pattern of the world alone; the one elsewhere has another pattern alone.
OF_IT, ELSEWHERE = "editor of the pattern", "editor elsewhere"
TESTER = frozenset({"tester"})
TESTER_AND_STUDIO = TESTER | STUDIO
WITH_PASSWORD = STUDIO | {OF_IT, ELSEWHERE}
SIGNED_IN = WITH_PASSWORD | {"tester", "other tester"}
NOBODY = frozenset({"nobody"})
EVERYBODY = SIGNED_IN | NOBODY

SEEN = frozenset({200})
MOVED = frozenset({302})
TAKEN = frozenset({200, 302, 400, 409, 422})


@dataclass(frozen=True)
class Row:
    """One address."""

    who: frozenset[str]
    is_seen: bool
    is_sent: bool
    parts: dict[str, Any] = field(default_factory=dict)
    answers: frozenset[int] = SEEN
    nobody: int = 302
    sent: dict[str, str] = field(default_factory=dict)


def may(who, parts):
    """The pages of a pattern that are all editors' are also those of its own."""
    return who | {OF_IT} if who in (STUDIO, EDITORS) and "slug" in parts else who


def page(who, *, answers=SEEN, nobody=302, **parts):
    return Row(may(who, parts), is_seen=True, is_sent=False, parts=parts, answers=answers, nobody=nobody)


def personal_page(who, **parts):
    """A page of a pattern about its testers: closed to an editor of this pattern alone."""
    return Row(who, is_seen=True, is_sent=False, parts=parts)


def closed(row):
    """An address of a pattern that its own editor needs not: it sells, or brings in whole tables."""
    return replace(row, who=row.who - {OF_IT})


def action(who, *, nobody=302, sent=None, **parts):
    return Row(may(who, parts), is_seen=False, is_sent=True, parts=parts, nobody=nobody, sent=sent or {})


def form(who, *, answers=SEEN, nobody=302, **parts):
    return Row(may(who, parts), is_seen=True, is_sent=True, parts=parts, answers=answers, nobody=nobody)


def at(path):
    """A part of an address that is read from the world: `place.pk` of `call.slug`."""

    def read(world):
        value = world
        for name in path.split("."):
            value = getattr(value, name)
        return value

    return read


PATTERN = at("pattern.slug")
CALL = {"slug": PATTERN, "pk": at("call.pk")}
PLACE = {"pk": at("place.pk")}
PHOTO = {"slug": PATTERN, "pk": at("photo.pk")}
ERRATUM = {"slug": PATTERN, "pk": at("erratum.pk")}
QUESTION = {"slug": PATTERN, "pk": at("question.pk")}
ENTRY = {"slug": PATTERN, "part": "values", "place": 0}
SECTION = {"slug": PATTERN, "section": 1}
STEP = {**SECTION, "step": 1}

ENTRANCE = {
    "home": page(EVERYBODY, answers=MOVED),
    "health": page(EVERYBODY, nobody=200),
    "guide": page(EVERYBODY, nobody=200),
    "guide_part": page(EVERYBODY, nobody=200, name="yarn"),
    "setup": form(EVERYBODY, key=SETUP_KEY),
    "invitation": form(EVERYBODY, key=INVITATION_KEY),
    "account_login": form(EVERYBODY, answers=SEEN | MOVED),
    "account_logout": form(EVERYBODY, answers=SEEN | MOVED),
    "account_inactive": page(EVERYBODY),
    "account_request_login_code": form(EVERYBODY, answers=SEEN | MOVED),
    "account_confirm_login_code": form(EVERYBODY, answers=MOVED),
    "account_reset_password": form(EVERYBODY, answers=SEEN | MOVED),
    "account_reset_password_done": page(EVERYBODY),
    "account_reset_password_from_key": form(EVERYBODY, uidb36="1", key="no-such-key"),
    "account_reset_password_from_key_done": page(EVERYBODY),
    "mfa_authenticate": form(EVERYBODY, answers=MOVED),
}
ACCOUNT = {
    "my_account": form(SIGNED_IN),
    "sign_out_elsewhere": action(SIGNED_IN),
    "account_reauthenticate": form(WITH_PASSWORD, answers=SEEN | MOVED),
    "account_change_password": form(WITH_PASSWORD),
    "account_set_password": form(WITH_PASSWORD, answers=MOVED),
    "mfa_index": page(WITH_PASSWORD),
    "mfa_reauthenticate": form(WITH_PASSWORD, answers=SEEN | MOVED),
    "mfa_activate_totp": form(WITH_PASSWORD, answers=SEEN | MOVED),
    "mfa_deactivate_totp": form(WITH_PASSWORD, answers=frozenset({302, 404})),
    "mfa_view_recovery_codes": page(WITH_PASSWORD, answers=frozenset({302, 404})),
    "mfa_generate_recovery_codes": form(WITH_PASSWORD, answers=MOVED | {404}),
    "mfa_download_recovery_codes": page(WITH_PASSWORD, answers=frozenset({302, 404})),
}
WHOLE_STUDIO = {
    "people": page(DESIGNER),
    "people_invite": action(DESIGNER),
    "person_withdraw": action(DESIGNER, pk=at("editor_pk")),
    "person_publishing": action(DESIGNER, pk=at("editor_pk")),
    "invitation_withdraw": action(DESIGNER, pk=at("invitation.pk")),
    "studio_settings": form(DESIGNER),
    "mails": page(DESIGNER),
    "mail": page(DESIGNER, name=at("mail")),
    "running": page(DESIGNER),
    "running_address": action(DESIGNER),
    "task_again": action(DESIGNER, key=at("task_key")),
    "letters_again": action(DESIGNER),
    "letter_again": action(DESIGNER, pk=at("letter.pk")),
    "letter_drop": action(DESIGNER, pk=at("letter.pk")),
}
SHEET = {
    "desk": page(WITH_PASSWORD),
    "desk_load": action(STUDIO),
    "desk_new": action(STUDIO),
    "beginnings": page(STUDIO),
    "beginning": form(STUDIO, key="drop-shoulder"),
    "older_lists": action(STUDIO),
    "older_text": page(STUDIO),
    "desk_pattern": page(STUDIO, slug=PATTERN),
    "facts": form(STUDIO, slug=PATTERN),
    "pattern_file": page(STUDIO, slug=PATTERN),
    "undo": action(STUDIO, slug=PATTERN),
    "joins": page(STUDIO, slug=PATTERN),
    "settle": action(STUDIO, slug=PATTERN),
    "formula_help": page(STUDIO, slug=PATTERN),
    "grid_preview": action(STUDIO, slug=PATTERN),
    "grid_save": action(STUDIO, slug=PATTERN),
    "sheet": page(STUDIO, slug=PATTERN),
    "sizes": form(STUDIO, slug=PATTERN),
    "body_table": closed(form(STUDIO, slug=PATTERN)),
    "value": form(STUDIO, slug=PATTERN, name="chest"),
    "value_preview": action(STUDIO, slug=PATTERN, name="chest"),
    "value_origin": page(STUDIO, slug=PATTERN, name="chest"),
    "entry_new": form(STUDIO, slug=PATTERN, part="values"),
    "entry_new_picture": action(STUDIO, slug=PATTERN, part="curves"),
    "entry_new_preview": action(STUDIO, slug=PATTERN, part="values"),
    "entry_picture": action(STUDIO, **ENTRY),
    "entry": form(STUDIO, **ENTRY),
    "entry_preview": action(STUDIO, **ENTRY),
    "entry_delete": action(STUDIO, **ENTRY),
    "entry_move": action(STUDIO, **ENTRY),
    "bring": closed(page(STUDIO, slug=PATTERN)),
    "bring_from": closed(form(STUDIO, slug=PATTERN, source=PATTERN)),
    "options_page": page(STUDIO, slug=PATTERN),
    "pattern_copy": Row(STUDIO, is_seen=True, is_sent=True, parts={"slug": PATTERN}),  # it makes another
    "yarn_page": page(STUDIO, slug=PATTERN),
    "allowance": action(STUDIO, slug=PATTERN),
}
SIZE_TABLES = {
    "size_tables": page(STUDIO),
    "size_table_new": page(STUDIO),
    "size_table_new_check": action(STUDIO),
    "size_table_new_store": action(STUDIO),
    "size_table": page(STUDIO, key="yarn-woman"),
    "size_table_compared": action(STUDIO, key="yarn-woman"),
    "size_table_file": page(STUDIO, key="yarn-woman"),
    "size_table_change": page(STUDIO, key=at("own_table")),
    "size_table_check": action(STUDIO, key=at("own_table")),
    "size_table_store": action(STUDIO, key=at("own_table")),
    "size_table_delete": action(STUDIO, key=at("own_table")),
    "coverage": form(STUDIO, key="yarn-woman"),
    "pattern_tables": closed(page(STUDIO, slug=PATTERN)),
    "table_use": closed(page(STUDIO, key="yarn-woman", slug=PATTERN)),
    "table_use_check": closed(action(STUDIO, key="yarn-woman", slug=PATTERN)),
    "table_use_store": closed(action(STUDIO, key="yarn-woman", slug=PATTERN)),
    "sheet_file": page(STUDIO, slug=PATTERN, kind="xlsx"),
    "value_lists": closed(page(STUDIO, slug=PATTERN)),
    "value_lists_check": closed(action(STUDIO, slug=PATTERN)),
    "value_lists_store": closed(action(STUDIO, slug=PATTERN)),
}
SELLING = {
    "selling": closed(page(STUDIO, slug=PATTERN)),
    "studio_dates": page(STUDIO),
    "shooting_list": closed(page(STUDIO, slug=PATTERN)),
    "promotion": closed(page(STUDIO, slug=PATTERN)),
    "promotion_file": closed(page(STUDIO, slug=PATTERN)),
    "questions": closed(page(STUDIO, slug=PATTERN)),
    "question_new": closed(form(STUDIO, slug=PATTERN)),
    "ask_question": form(EVERYBODY, slug=PATTERN),
    "question": closed(page(STUDIO, **QUESTION)),
    "question_words": closed(action(STUDIO, **QUESTION)),
    "question_answer": closed(action(STUDIO, **QUESTION)),
    "question_outcome": closed(action(STUDIO, **QUESTION)),
    "question_same": closed(action(STUDIO, **QUESTION)),
    "question_own": closed(action(STUDIO, **QUESTION)),
    "question_erase": action(DESIGNER, **QUESTION),
    "question_hide": action(DESIGNER, **QUESTION),
    "question_show": action(DESIGNER, **QUESTION),
    "question_delete": action(DESIGNER, **QUESTION),
    "yarn_supports": page(DESIGNER),
    "held_by_address": form(DESIGNER),
    "held_erase": action(DESIGNER),
    "yarn_support_new": form(DESIGNER),
    "yarn_support": form(DESIGNER, pk=at("support.pk")),
    "yarn_support_delete": action(DESIGNER, pk=at("support.pk")),
    "giver_erase": action(DESIGNER, pk=at("support.pk")),
    "promise_add": action(DESIGNER, pk=at("support.pk")),
    "promise_done": action(DESIGNER, pk=at("promise.pk")),
    "promise_delete": action(DESIGNER, pk=at("promise.pk")),
    "selling_facts": form(DESIGNER, slug=PATTERN),
    "selling_part_new": form(DESIGNER, slug=PATTERN, kind="shops"),
    "selling_part": form(DESIGNER, slug=PATTERN, kind="shops", pk=at("shop.pk")),
    "selling_part_delete": action(DESIGNER, slug=PATTERN, kind="shops", pk=at("shop.pk")),
    "shop_check": action(DESIGNER, slug=PATTERN, pk=at("shop.pk")),
    "date_done": action(DESIGNER, slug=PATTERN, pk=at("date.pk")),
}
BOOK = {
    "words": page(STUDIO, slug=PATTERN),
    "row_by_row": page(STUDIO, slug=PATTERN),
    "row_reason": action(DESIGNER, slug=PATTERN),
    "row_by_row_file": page(STUDIO, slug=PATTERN, kind="xlsx"),
    "stitch_patterns": page(STUDIO, slug=PATTERN),
    "stitch_pattern_new": form(STUDIO, slug=PATTERN),
    "stitch_pattern": form(STUDIO, slug=PATTERN, number=1),
    "stitch_pattern_preview": action(STUDIO, slug=PATTERN, number=1),
    "stitch_pattern_delete": action(STUDIO, slug=PATTERN, number=1),
    "section_add": form(STUDIO, slug=PATTERN),
    "section": form(STUDIO, **SECTION),
    "section_delete": action(STUDIO, **SECTION),
    "section_up": action(STUDIO, **SECTION),
    "section_down": action(STUDIO, **SECTION),
    "words_text": form(STUDIO, slug=PATTERN),
    "words_text_change": action(STUDIO, slug=PATTERN),
    "words_text_preview": action(STUDIO, slug=PATTERN),
    "words_text_read": action(STUDIO, slug=PATTERN),
    "step_add": form(STUDIO, **SECTION),
    "step": form(STUDIO, **STEP),
    "step_preview": action(STUDIO, **SECTION),
    "step_fill": action(STUDIO, **STEP),
    "step_shaping": action(STUDIO, **STEP),
    "step_number": action(STUDIO, **STEP),
    "step_draft": action(STUDIO, **STEP),
    "step_draft_drop": action(STUDIO, **STEP),
    "step_delete": action(STUDIO, **STEP),
    "step_up": action(STUDIO, **STEP),
    "step_down": action(STUDIO, **STEP),
    "photos": form(STUDIO, slug=PATTERN),
    "helps": page(STUDIO),
    "help_new": form(STUDIO),
    "helps_check": action(STUDIO),
    "help_edit": form(STUDIO, pk=at("help.pk")),
    "help_pictures": action(STUDIO, pk=at("help.pk")),
    "help_check": action(STUDIO, pk=at("help.pk")),
    "help_delete": action(STUDIO, pk=at("help.pk")),
    "help_picture_up": action(STUDIO, pk=at("help_picture.pk")),
    "help_picture_delete": action(STUDIO, pk=at("help_picture.pk")),
    "pattern_helps": page(STUDIO, slug=PATTERN),
    "pattern_help_put": action(STUDIO, slug=PATTERN, pk=at("help.pk")),
    "practice": form(STUDIO, slug=PATTERN),
    "practice_recording": page(STUDIO, slug=PATTERN),
    "help_page": page(EVERYBODY, code=at("help.code")),
    "special_stitches": page(STUDIO),
    "special_stitch_new": form(STUDIO),
    "special_stitch_preview": action(STUDIO),
    "special_stitch": form(STUDIO, pk=at("stitch.pk")),
    "special_stitch_pictures": action(STUDIO, pk=at("stitch.pk")),
    "special_stitch_delete": action(STUDIO, pk=at("stitch.pk")),
    "stitch_picture_up": action(STUDIO, pk=at("stitch_picture.pk")),
    "stitch_picture_delete": action(STUDIO, pk=at("stitch_picture.pk")),
    "pattern_stitches": page(STUDIO, slug=PATTERN),
    "pattern_stitch_take": action(STUDIO, slug=PATTERN, pk=at("stitch.pk")),
    "pattern_stitch_keep": action(STUDIO, slug=PATTERN, name="bobble"),
    "pattern_stitch_delete": action(STUDIO, slug=PATTERN, name="bobble"),
    "draft_pdf": page(STUDIO, slug=PATTERN, answers=frozenset({200, 302})),
    "photo": form(STUDIO, **PHOTO),
    "swatches": form(STUDIO, slug=PATTERN),
    "swatch_use": action(STUDIO, slug=PATTERN, pk=at("swatch.pk")),
    "swatch_delete": action(STUDIO, slug=PATTERN, pk=at("swatch.pk")),
    "photo_first": action(STUDIO, **PHOTO),
    "photo_delete": action(STUDIO, **PHOTO),
    "versions": page(STUDIO, slug=PATTERN),
    "publish": form(PUBLISHERS, slug=PATTERN, kind="test"),
    "draft_compared": page(STUDIO, slug=PATTERN),
    "version": page(STUDIO, slug=PATTERN, number="0.1"),
    "technical_edit": form(STUDIO, slug=PATTERN),
    "pattern_editors": form(DESIGNER, slug=PATTERN),
    "pattern_editor_take": action(DESIGNER, slug=PATTERN, pk=at("access.pk")),
    "pattern_invitation_withdraw": action(DESIGNER, slug=PATTERN, pk=at("pattern_invitation.pk")),
    "signature_ask": form(DESIGNER, slug=PATTERN),
    "signature_withdraw": action(DESIGNER, slug=PATTERN, pk=at("signature.pk")),
    "edit_read": action(EDITORS, slug=PATTERN),
    "edit_withdraw": form(EDITORS, slug=PATTERN),
    "edit_sign_off": form(EDITORS, slug=PATTERN),
    "query_answer": form(DESIGNER, slug=PATTERN, pk=at("query.pk")),
    "query_settle": action(EDITORS, slug=PATTERN, pk=at("query.pk")),
    "version_progress": page(STUDIO, slug=PATTERN, number="0.1"),
    "version_again": action(PUBLISHERS, slug=PATTERN, number="0.1"),
    "version_withdraw": action(PUBLISHERS, slug=PATTERN, number="0.1"),
    "edition_add": form(PUBLISHERS, slug=PATTERN, number="0.1"),
    "erratum_new": form(STUDIO, slug=PATTERN),
    "erratum": page(STUDIO, **ERRATUM),
    "erratum_confirm": form(STUDIO, **ERRATUM),
    "erratum_dismiss": action(STUDIO, **ERRATUM),
    "erratum_correct": action(STUDIO, **ERRATUM),
    "erratum_change": form(STUDIO, **ERRATUM),
    "erratum_merge": action(STUDIO, **ERRATUM),
    "errata": page(STUDIO, slug=PATTERN),
    "errata_file": page(STUDIO, slug=PATTERN),
    "guard_add": action(STUDIO, **ERRATUM),
    "guard_delete": action(STUDIO, slug=PATTERN, pk=at("guard.pk")),
    "edition_file": page(STUDIO | {OF_IT}, nobody=404, pk=at("edition.pk")),
    "photo_file": page(EVERYBODY, name=at("photo_name")),
    "catalogue": page(EVERYBODY),
    "pattern_page": page(EVERYBODY, slug=PATTERN),
    "corrections": page(EVERYBODY, slug=PATTERN, number="1.0"),
    "corrections_file": page(EVERYBODY, slug=PATTERN, number="1.0"),
    "needs": page(EVERYBODY, slug=PATTERN),
    "your_size": page(STUDIO, nobody=404, slug=PATTERN),
    "read_your_size": page(STUDIO, nobody=404, slug=PATTERN),
    "holder_read": page(EVERYBODY, key=at("pdf_key")),
    "holder_pdf": page(EVERYBODY, key=at("pdf_key")),
    "holder_pdf_file": page(EVERYBODY, key=at("pdf_key")),
    "which": page(EVERYBODY, slug=PATTERN),
    "sitemap": page(EVERYBODY),
    "robots": page(EVERYBODY),
}
HOLDERS = {
    "pattern_retire": action(PUBLISHERS, slug=PATTERN),
    "pattern_offer": action(PUBLISHERS, slug=PATTERN),
    "pattern_downloads": action(PUBLISHERS, slug=PATTERN),
    "pattern_chart": action(PUBLISHERS, slug=PATTERN),
    "holders": form(PUBLISHERS),
    "pattern_holders": personal_page(PUBLISHERS, slug=PATTERN),
    "holders_import": page(PUBLISHERS),
    "holders_check": action(PUBLISHERS),
    "holders_store": action(PUBLISHERS),
    "holder_erase": action(PUBLISHERS, pk=at("other_holder.pk")),
    "holder_right": action(PUBLISHERS, pk=at("other_holder.pk")),
    "holder_leave": action(PUBLISHERS, pk=at("other_holder.pk")),
    "holder_pdf_give": action(PUBLISHERS, pk=at("other_holder.pk")),
    "holder_pdf_withdraw": action(PUBLISHERS, pk=at("other_holder.pk")),
    "ask_pdf": form(EVERYBODY, slug=PATTERN),
    "asked_pdf": page(EVERYBODY, slug=PATTERN),
    "bounces": form(PUBLISHERS),
    "notice": page(PUBLISHERS, pk=at("notice.pk")),
    "notice_preview": action(PUBLISHERS, pk=at("notice.pk")),
    "notice_send": action(PUBLISHERS, pk=at("notice.pk")),
    "notice_newcomers": action(PUBLISHERS, pk=at("notice.pk")),
    "notice_resume": action(PUBLISHERS, pk=at("notice.pk")),
    "notice_end": action(PUBLISHERS, pk=at("notice.pk")),
    "notice_right": action(PUBLISHERS, pk=at("notice.pk")),
    "notice_join": action(PUBLISHERS, pk=at("notice.pk")),
    "notice_drop": action(PUBLISHERS, pk=at("notice.pk")),
    "sign_up": form(EVERYBODY, slug=PATTERN),
    "signed_up": page(EVERYBODY, slug=PATTERN),
    "holder_confirm": form(EVERYBODY, key=at("holder_key")),
    "unsubscribe": form(EVERYBODY, key=at("holder_key")),
    "holder_link": action(EVERYBODY, key=at("holder_key")),
    "holder_forget": form(EVERYBODY, key=at("own_key")),
}
CALLS = {
    "calls": page(STUDIO, slug=PATTERN),
    "calls_now": page(STUDIO, answers=MOVED, slug=PATTERN),
    "call_new": form(DESIGNER, slug=PATTERN),
    "call": page(STUDIO, **CALL),
    "call_as_testers": page(STUDIO, **CALL),
    "call_open": action(DESIGNER, **CALL),
    "call_close": action(DESIGNER, **CALL),
    "call_end": form(DESIGNER, **CALL),
    "call_file": personal_page(STUDIO, **CALL, form="csv"),
    "call_consents": page(DESIGNER, **CALL),
    "proposal": page(DESIGNER, **CALL),
    "proposal_again": action(DESIGNER, **CALL),
    "proposal_send": action(DESIGNER, **CALL),
    "call_extend": form(DESIGNER, **CALL),
    "call_change": form(DESIGNER, **CALL),
    "call_version": action(DESIGNER, **CALL, number="0.1"),
    "place_give": action(DESIGNER, **CALL, application=at("application.pk")),
    "place_waiting": action(DESIGNER, **CALL, application=at("application.pk")),
    "place_replace": action(DESIGNER, **CALL, placement=at("place.pk")),
    "place_more_time": action(DESIGNER, **CALL, placement=at("place.pk")),
    "place_remind": action(DESIGNER, **CALL, placement=at("place.pk")),
    "places_given": action(DESIGNER, **CALL),
    "place_given": action(DESIGNER, **CALL, placement=at("place.pk")),
    "call_garment": page(STUDIO, **CALL, result=at("result.pk")),
    "call_photos": personal_page(STUDIO, **CALL),
    "call_photo_file": personal_page(STUDIO, **CALL, photo=at("result_photo.pk"), use="page"),
    "call_results": page(STUDIO, **CALL),
    "call_report": page(STUDIO, **CALL),
    "entry_right": action(DESIGNER, **CALL, result=at("result.pk"), name="chest"),
    "entry_means": action(DESIGNER, **CALL, result=at("result.pk"), name="chest"),
    "entry_open": action(DESIGNER, **CALL, result=at("result.pk"), name="chest"),
    "verdict_erratum": form(STUDIO, **CALL, name="body_length"),
    "verdict_mend": page(STUDIO, **CALL, name="body_length", value="body_rows"),
    "verdict_apply": action(STUDIO, **CALL, name="body_length", value="body_rows"),
    "how_assessed": page(EVERYBODY),
    "remark_erratum": form(STUDIO, **CALL, remark=at("remark.pk")),
    "remark_open": action(DESIGNER, **CALL, remark=at("remark.pk")),
    "remark_settle": action(DESIGNER, **CALL, remark=at("remark.pk")),
    "result_erratum": form(STUDIO, **CALL, result=at("result.pk"), name="chest"),
    "testers": page(DESIGNER),
    "tester_note": action(DESIGNER, pk=at("place.person.pk")),
    "tester_ask": action(DESIGNER, pk=at("place.person.pk")),
    "mail_texts": page(DESIGNER),
    "mail_text": form(DESIGNER, kind="offer"),
    "mail_text_preview": action(DESIGNER, kind="offer"),
    "privacy": page(EVERYBODY),
    "call_list": page(EVERYBODY),
    "call_page": page(EVERYBODY, slug=at("call.slug")),
    "apply": form(EVERYBODY, slug=at("call.slug")),
    "apply_look": action(EVERYBODY, slug=at("call.slug")),
    "applied": page(EVERYBODY, slug=at("call.slug")),
    "application": page(EVERYBODY, key=at("application_key")),
    "application_change": form(EVERYBODY, key=at("application_key")),
    "application_look": action(EVERYBODY, key=at("application_key")),
    "application_erase": form(EVERYBODY, key=at("application_key")),
    "offer": page(EVERYBODY, key=at("offer_key")),
    "offer_accept": action(EVERYBODY, key=at("offer_key")),
    "offer_decline": action(EVERYBODY, key=at("offer_key")),
}
MAKING = {
    "my_making": page(SIGNED_IN),
    "making_worker": page(EVERYBODY),
    "my_data": page(SIGNED_IN),
    "my_data_file": page(SIGNED_IN),
    "my_data_erase": form(SIGNED_IN),
    "my_units": action(SIGNED_IN),
    "my_asking": action(SIGNED_IN),
    "result_photo": page(
        TESTER_AND_STUDIO, pk=at("result_photo.pk"), width=at("photo_width"), form=at("photo_form")
    ),
    "shared_photo": page(EVERYBODY, pk=at("result_photo.pk"), width=at("photo_width"), form=at("photo_form")),
    "making": page(TESTER, **PLACE),
    "test_copy": page(TESTER, **PLACE),
    "making_read": page(TESTER, **PLACE),
    "making_calendar": page(TESTER, **PLACE),
    "making_time": form(TESTER, **PLACE),
    "making_version": action(TESTER, **PLACE),
    "making_gauge": form(TESTER, **PLACE, fabric="main"),
    "making_gauge_confirm": action(TESTER, **PLACE, fabric="main"),
    "making_measured": form(TESTER, **PLACE, name="chest"),
    "making_confirm": action(TESTER, **PLACE, name="chest"),
    "making_yarn": form(TESTER, **PLACE),
    "making_hours": form(TESTER, **PLACE),
    "making_note": form(TESTER, **PLACE),
    "making_note_change": form(TESTER, **PLACE, note=at("note.pk")),
    "making_note_delete": action(TESTER, **PLACE, note=at("note.pk")),
    "making_photo": form(TESTER, **PLACE),
    "making_photo_pieces": form(TESTER, **PLACE, key="one"),
    "making_photo_change": form(TESTER, **PLACE, photo=at("result_photo.pk")),
    "making_photo_delete": action(TESTER, **PLACE, photo=at("result_photo.pk")),
    "making_remark": form(TESTER, **PLACE),
    "making_remark_change": form(TESTER, **PLACE, remark=at("remark.pk")),
    "making_remark_delete": action(TESTER, **PLACE, remark=at("remark.pk")),
    "making_counted": form(TESTER, **PLACE),
    "making_more": page(TESTER, **PLACE),
    "making_garment_gauge": form(TESTER, **PLACE, fabric="main"),
    "making_worked": form(TESTER, **PLACE),
    "making_altered": form(TESTER, **PLACE),
    "making_options": form(TESTER, **PLACE),
    "making_metres": form(TESTER, **PLACE),
    "making_fit": form(TESTER, **PLACE),
    "making_tool": form(TESTER, **PLACE),
    "making_photo_uses": form(TESTER, **PLACE),
    "making_done": form(TESTER, **PLACE),
    "making_not_done": action(TESTER, **PLACE),
    "making_thanks": page(TESTER, answers=SEEN | MOVED, **PLACE),
    "making_withdraw": form(TESTER, **PLACE),
    "making_return": action(TESTER, **PLACE),
}
YARNS = {
    "yarns": page(STUDIO),
    "yarn_new": form(STUDIO),
    "studio_yarn": form(STUDIO, pk=at("yarn.pk")),
    "yarn_ended": form(STUDIO, pk=at("yarn.pk")),
    "yarn_delete": action(STUDIO, pk=at("yarn.pk")),
    "shade_add": action(STUDIO, pk=at("yarn.pk")),
    "shade": form(STUDIO, pk=at("shade.pk")),
    "shade_delete": action(STUDIO, pk=at("shade.pk")),
    "pattern_yarns": form(STUDIO, slug=PATTERN),
    "yarn_instead": form(STUDIO, slug=PATTERN),
    "construction_face": page(STUDIO, key="drop-shoulder"),
    "pattern_face": page(STUDIO, slug=PATTERN),
    "pieces": page(STUDIO, slug=PATTERN),
    "see_grade": page(STUDIO, slug=PATTERN),
    "value_trail": page(STUDIO, slug=PATTERN, name="chest"),
    "stripe_plan": page(STUDIO, slug=PATTERN),
    "tool_lengths": form(STUDIO),
}
TABLE: dict[str, Row] = {
    **YARNS,
    **ENTRANCE,
    **ACCOUNT,
    **WHOLE_STUDIO,
    **SHEET,
    **SIZE_TABLES,
    **BOOK,
    **SELLING,
    **HOLDERS,
    **CALLS,
    **MAKING,
}
