"""The parts of the guide, and which one helps on which page."""

from dataclasses import dataclass

TESTERS, MAKERS, DESIGNERS, SERVER = "For testers", "For makers", "For designers", "For the server"
GROUPS = (TESTERS, MAKERS, DESIGNERS, SERVER)  # as they are listed


@dataclass(frozen=True)
class GuidePart:
    """One page of the guide."""

    name: str
    title: str
    summary: str
    group: str = DESIGNERS

    @property
    def template(self) -> str:
        """The template of its text."""
        return f"guide/parts/{self.name}.html"


PARTS = {
    part.name: part
    for part in (
        GuidePart("start", "Your first pattern", "From one sample in one size to a PDF in every size."),
        GuidePart("formulas", "The sheet and its formulas", "Lines, lists, formulas, rounding, checks."),
        GuidePart(
            "instructions", "Instructions", "Steps with numbers filled in, for sizes, options and terms."
        ),
        GuidePart(
            "shaping",
            "Shaping and stripes",
            "Increases, decreases, curves, pick-ups, stripes: how they print.",
        ),
        GuidePart("pieces", "Pieces and joins", "Drawings to scale, and edges that must fit each other."),
        GuidePart("yarn", "Yarn", "From a weighed swatch to balls for each size."),
        GuidePart(
            "editing", "Row by row, and the technical edit", "Every row worked in every size, and signed."
        ),
        GuidePart("testing", "A test call", "From the invitation to the thanks."),
        GuidePart("judging", "How results are judged", "Is it the pattern, the gauge or the tape?"),
        GuidePart(
            "versions", "Versions, errata and notices", "Publish, correct, and tell those who have it."
        ),
        GuidePart("selling", "Selling", "Shops, rights, dates, yarn that was given, and makers’ questions."),
        GuidePart("studio", "Studio, people and e-mails", "Who may do what, and how the studio writes."),
        GuidePart(
            "buying", "For makers: size, corrections, PDFs", "What the pages of a pattern tell you.", MAKERS
        ),
        GuidePart(
            "measuring", "For testers: how to measure", "Swatch, tape and scale, in five minutes.", TESTERS
        ),
        GuidePart("file", "The pattern file", "Every field of a pattern file, with what it means."),
        GuidePart("commands", "Commands", "What can be run from a terminal.", SERVER),
    )
}


def grouped_parts() -> list[tuple[str, list[GuidePart]]]:
    """The parts under whom they are for."""
    return [(group, [part for part in PARTS.values() if part.group == group]) for group in GROUPS]


def next_part(part: GuidePart) -> GuidePart | None:
    """What to read on, for the same readers."""
    same = [one for one in PARTS.values() if one.group == part.group]
    return next(iter(same[same.index(part) + 1 :]), None)


# The part of the guide that helps on a page, by the name of its address; with # and a section of it.
_HELPS = {
    "start": "home desk desk_pattern pattern_face construction_face facts photos photo",
    "start#begin": "beginnings beginning setup pattern_copy",
    "start#old": "older_text",
    "formulas": "sheet value_origin entry_new entry bring bring_from value_lists sheet_file see_grade"
    " value_trail",
    "formulas#formulas": "value",
    "formulas#functions": "formula_help",
    "formulas#sizes": "sizes body_table size_tables size_table_new size_table size_table_file"
    " size_table_change coverage table_use pattern_tables",
    "instructions": "words words_text section_add section step_add step",
    "instructions#options": "options_page",
    "instructions#helps": "helps help_new help_edit help_pictures help_page pattern_helps",
    "instructions#practice": "practice practice_recording",
    "instructions#special-stitches": "special_stitches special_stitch_new special_stitch"
    " special_stitch_preview special_stitch_pictures pattern_stitches",
    "instructions#stitch-patterns": "stitch_patterns stitch_pattern_new stitch_pattern"
    " stitch_pattern_preview",
    "pieces": "pieces",
    "pieces#joins": "joins",
    "shaping#stripes": "stripe_plan",
    "yarn#swatch": "swatches",
    "yarn#ended": "yarn_ended yarn_instead",
    "yarn#shades": "yarns yarn_new studio_yarn shade pattern_yarns",
    "yarn": "yarn_page tool_lengths",
    "editing#rows": "row_by_row row_by_row_file",
    "editing#edit": "technical_edit edit_sign_off edit_withdraw query_answer signature_ask",
    "testing": "calls call call_file testers",
    "testing#open": "call_new call_change call_consents",
    "testing#places": "proposal",
    "testing#makers": "call_as_testers",
    "testing#late": "call_extend",
    "testing#end": "call_end call_garment call_photos call_photo_file",
    "measuring#pages": "call_list call_page apply applied application application_change application_erase"
    " offer my_making my_data my_data_file"
    " my_data_erase making making_calendar making_note making_note_change making_photo making_photo_change"
    " making_remark making_remark_change making_more making_thanks making_withdraw making_photo_uses"
    " making_read making_done account_request_login_code account_confirm_login_code"
    " making_options making_fit making_altered making_worked test_copy shared_photo"
    " result_photo making_photo_pieces making_worker privacy",
    "measuring#swatch": "making_gauge making_tool",
    "measuring#garment": "making_measured making_garment_gauge",
    "measuring#yarn": "making_yarn making_metres making_time making_hours",
    "measuring": "making_counted",
    "judging": "call_results call_report",
    "judging#then": "verdict_erratum verdict_mend remark_erratum result_erratum",
    "judging#model": "how_assessed",
    "buying": "pattern_page catalogue sitemap robots photo_file edition_file",
    "buying#size": "your_size needs",
    "buying#ask": "ask_question",
    "buying#version": "which corrections corrections_file sign_up signed_up holder_confirm unsubscribe"
    " holder_link holder_forget",
    "buying#pdf": "ask_pdf asked_pdf holder_pdf holder_pdf_file holder_read read_your_size",
    "versions": "versions version",
    "versions#publish": "publish version_progress draft_compared",
    "versions#editions": "edition_add draft_pdf",
    "versions#errata": "erratum_new erratum erratum_change erratum_confirm errata errata_file",
    "versions#holders": "holders pattern_holders holders_import bounces notice",
    "selling": "selling selling_part_new selling_part",
    "selling#facts": "selling_facts",
    "selling#questions": "questions question_new question",
    "selling#sheets": "shooting_list promotion promotion_file",
    "selling#dates": "studio_dates",
    "selling#support": "yarn_supports yarn_support_new yarn_support held_by_address",
    "studio": "studio_settings",
    "studio#people": "people pattern_editors invitation",
    "studio#mails": "mails mail mail_texts mail_text",
    "studio#running": "running",
    "studio#signing-in": "my_account account_login account_logout account_inactive"
    " account_reset_password account_reset_password_done account_reset_password_from_key"
    " account_reset_password_from_key_done mfa_authenticate account_reauthenticate account_change_password"
    " account_set_password mfa_index mfa_reauthenticate mfa_activate_totp mfa_deactivate_totp"
    " mfa_view_recovery_codes mfa_generate_recovery_codes mfa_download_recovery_codes",
    "file": "pattern_file",
}
HELP_OF_PAGE = {page: part for part, pages in _HELPS.items() for page in pages.split()}
# An entry of the sheet is helped by its own kind.
HELP_OF_ENTRY = {
    "body": "formulas#sizes",
    "fabrics": "yarn#swatch",
    "shapings": "shaping",
    "curves": "shaping#curves",
    "spreads": "shaping#even",
    "pick_ups": "shaping#pick-ups",
    "stripes": "shaping#stripes",
    "pieces": "pieces",
    "joins": "pieces#joins",
    "yarns": "yarn#shades",
    "yarn_sections": "yarn#parts",
    "options": "instructions#options",
    "checks": "formulas#checks",
}
