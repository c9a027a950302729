"""Works the sentences of a section in one size, one after the other."""

import re
from collections.abc import Sequence
from dataclasses import replace

from grading.core.audit.cells import Beneath
from grading.core.audit.chain_notes import chain_note
from grading.core.audit.described_rows import is_named_change, named_change
from grading.core.audit.facing import begins_anew, side_named
from grading.core.audit.item_kinds import begins_piece
from grading.core.audit.printed import work_printed
from grading.core.audit.rates import with_rates
from grading.core.audit.row_frames import (
    begin_frame,
    end_frame,
    is_numbered,
    is_of_frame,
    leads_to_rows,
    within_frame,
)
from grading.core.audit.row_reading import read_rows
from grading.core.audit.row_states import DEPENDING, UNKNOWN_BENEATH
from grading.core.audit.rows import Audited, under_head
from grading.core.audit.sentences import (
    ELSEWHERE,
    SHORT_ROWS,
    Sentence,
    begins_armhole,
    counts_all_rows,
    head_alone,
    headed_rows,
    heads_a_change,
    is_definition,
    is_idle,
    names_a_change,
    names_several_places,
    noticed,
    row_name,
    row_of_these_words,
    rows_apart,
    speaks_of_counts,
    speaks_of_rounds,
    splits,
    statement_of,
    without_count,
)
from grading.core.audit.short_rows import (
    begin_short_rows,
    is_remark,
    is_short_row,
    speaks_of_short_rows,
    tells_a_technique,
    work_short_row,
)
from grading.core.audit.size_states import SizeState, agrees, disagrees, unread
from grading.core.audit.statement_kinds import Marked, Note, Statement, Straight
from grading.core.audit.statement_working import work_statements, work_straight
from grading.core.audit.tree import Row


class SizeAccount(SizeState):
    """The account of one section in one size."""

    def work(self, sentence: Sentence) -> Audited | None:
        """Work a sentence; None when it says nothing about counts."""
        self.row, self.is_joint, self.change = "", False, None
        if not is_of_frame(self, sentence):
            end_frame(self)
        on = self.depends_on()
        self.begun, self.begun_on = self.rows_worked or 0, self.stitches()
        self.account.course.clear()
        self.account.begun_anew = False
        self.colours.notice(sentence.text, self.begun)
        self._lay_out(sentence)
        audited = (
            (self._knitted(sentence) if self.craft == "knitting" else self._crocheted(sentence))
            if sentence.expands is None
            else work_printed(self, sentence, sentence.expands)
        )
        audited = within_frame(self, sentence, audited or self._counted_on(sentence.text))
        if self.account.begun_anew:
            self.apart = 0
            self.begun, self.marked, self.edged, self.stretches = 0, None, None, ()
            self.broke_off = False
        self.add_rows(self.audit.fabrics.in_words(sentence.text), in_all=counts_all_rows(sentence.text))
        self.counts.append((self.rows_worked or 0, self.stitches()))
        self._notice(sentence.text)
        self.told_rows = self.told_rows if sentence.expands is None else None
        self.preceding = sentence.text if sentence.text.rstrip().endswith(":") else ""
        audited = self._with_dependence(audited, on or self.depends_on())
        return with_rates(self, sentence.text, self._with_side(sentence.text, audited))

    def _lay_out(self, sentence: Sentence) -> None:
        """Where only the count beneath is known, rows over a special stitch tell how its places lie."""
        if sentence.over is None:
            return
        self.go_on_from_before()
        beneath = self.account.beneath
        stitches = beneath.total()
        laid = sentence.over.laid(stitches) if stitches and beneath.bare else None
        if laid is not None:
            self.account.beneath = Beneath(laid)

    def _with_dependence(self, audited: Audited | None, on: tuple[str, int] | None) -> Audited | None:
        """Remember the step that can't be read, and name it where the count of another depends on it."""
        is_known = self.stitches() is not None
        if is_known:
            self.lost_at = None
        if audited is None or audited.verdict != "unreadable":
            return audited
        if audited.says not in DEPENDING:
            self.lost_at = None if is_known else on or self.at
        elif on is not None and on != self.at:
            title, step = on
            says = f"it depends on “{title}”, step {step}, which can’t be read"
            return replace(audited, says=says, depends_on=on)
        return audited

    def _with_side(self, text: str, audited: Audited | None) -> Audited | None:
        """Compare the side that a numbered row names with the rows before it; rounds have one side alone."""
        numbers = re.fullmatch(r"(\d+)(?:–(\d+))?", self.row)
        follows = numbers is not None and not self.in_round and self.craft != "tunisian"
        if numbers is None or not follows or begins_anew(text):
            if self.rows_worked != self.begun or begins_anew(text):
                self.facing.begin_anew()
            return audited
        first = int(numbers.group(1))
        says = self.facing.wrong_side((first, int(numbers.group(2) or first)), side_named(text))
        if not says or audited is None or audited.verdict == "unreadable":
            return audited
        return replace(audited, verdict="disagrees", says="; ".join(filter(None, (audited.says, says))))

    def _notice(self, text: str) -> None:
        """Keep what later sentences may count from: markers, edges, and what is worked at the same time."""
        ended, at_once, marked, edged = noticed(text)
        if not self.rows_worked:
            self.apart = rows_apart(text) or self.apart
        self.tells_rounds = self.tells_rounds or speaks_of_rounds(text)
        self.ended, self.together = self.ended or ended, self.together or at_once
        if marked and not self.marks_itself(text):
            self.marked = self.rows_worked
        if edged:
            self.edged = self.rows_worked
        if self.armholed is None and begins_armhole(text):
            self.armholed = self.begun
        if names_several_places(text):
            self.described.clear()

    def marks_itself(self, text: str) -> bool:
        """Whether the marker was set where the sentence says so, in the midst of it."""
        statements, _ = statement_of(text, self.craft)
        return any(isinstance(one, Marked) for one in statements or ())

    def _knitted(self, sentence: Sentence) -> Audited | None:
        """A sentence of knitting, which may be of short rows or tell how their stitch is made."""
        self.tells_short_rows = self.tells_short_rows or speaks_of_short_rows(sentence.text)
        if tells_a_technique(sentence.text):
            return None
        short = self._short_row(sentence.text)
        if short is not None:
            return short
        if self.short_rows is not None:
            says_a_count = without_count(sentence.text) != sentence.text
            if is_remark(sentence.text) and not says_a_count and not ELSEWHERE.search(sentence.text):
                return None
            self.broke_off, self.short_rows = self.short_rows.is_open, None
        return self._written(sentence)

    def _crocheted(self, sentence: Sentence) -> Audited | None:
        """A sentence of crochet, which may say of all rows to come whether their chains count."""
        chains = chain_note(sentence.text)
        if not chains:
            return self._written(sentence)
        self.account.throughout |= chains
        self.audit.chain_notes |= chains
        return None

    def _written(self, sentence: Sentence) -> Audited | None:
        statements, said = statement_of(sentence.text, self.craft)
        self._notice_elsewhere(sentence.text, statements or ())
        head = head_alone(sentence.text, self.craft)
        if statements is not None:
            audited = work_statements(self, self._without_rows_of_a_plan(statements, sentence.text), said)
            self.head = head if audited is None and head is not None else self.head
            return audited
        headed = headed_rows(sentence.text, self.craft)
        if headed is not None:
            return self._rows_under_statement(*headed, sentence.text)
        rows = read_rows(sentence.text, self.craft)
        if not rows:
            return None
        if all(is_idle(row) for row in rows) or self._leads_to_shaping(sentence.text):
            self.head = head or self.head
            return None
        describes = self._tells_how_to_shape(sentence.text) or self._describes_rows_of_a_plan(sentence.text)
        if is_definition(sentence.text) or describes:
            return self._define(sentence)
        rows, head, self.head = under_head(rows, self.head), self.head, None
        self.row, self.in_round = row_name(rows[0]), any(row.in_round for row in rows)
        if self.ended and begins_piece(rows[0]):
            self._begin_piece(rows[0])
        beneath, rows_worked = self.account.beneath.copy(), self.rows_worked
        audited = self._audited(sentence.text, head)
        if audited.verdict != "unreadable" or audited.leaves is not None:
            self.is_split = self.is_split or bool(audited.unworked) or any(splits(row) for row in rows)
            return audited
        self.head = rows[-1] if rows[-1].numbers is not None else None
        depends = audited.says in DEPENDING and self.depends_on() is not None
        if not depends and not speaks_of_counts(sentence.text, self.audit.facts.units_of):
            self.account.beneath, self.rows_worked = beneath, rows_worked
            return None
        if SHORT_ROWS.search(sentence.text):
            self.account.beneath, self.rows_worked = beneath, rows_worked
            return audited
        self.rows_worked = None
        return audited

    def _without_rows_of_a_plan(self, statements: tuple[Statement, ...], text: str) -> tuple[Statement, ...]:
        """`Work 86 rounds:` tells how many rows the plan has that is printed after it, which counts them."""
        after, last = self.following, statements[-1] if statements else None
        if not isinstance(last, Straight) or not leads_to_rows(text):
            return statements
        if after is None or after.expands is None:
            is_led_to = after is None or is_numbered(after.text, self.craft)
            return self._without_rows_that_follow(statements, last) if is_led_to else statements
        is_planned = self.audit.facts.kinds.get(after.expands.name) in ("shaping", "curve")
        if not is_planned or after.expands.form == "words":
            return statements
        self.go_on_from_before()
        self.told_rows = last
        return statements[:-1]

    def _without_rows_that_follow(
        self, statements: tuple[Statement, ...], last: Straight
    ) -> tuple[Statement, ...]:
        """`Work 4 rows:` tells how many those rows are that are written after it."""
        begin_frame(self, last)
        return statements if self.frame is None else statements[:-1]

    def _counted_on(self, text: str) -> Audited | None:
        """`The division was the first round, and this is the second`: rows are counted on from there."""
        row = row_of_these_words(text)
        if row is None or self.rows_worked is None or self.rows_worked >= row:
            return None
        self.go_on_from_before()
        stitches = self.stitches()
        self.rows_worked = row
        return None if stitches is None else agrees(stitches)

    def _short_row(self, text: str) -> Audited | None:
        """A row of a run of short rows; None for every other sentence."""
        words, said = without_count(text), statement_of(text, self.craft)[1]
        if self.short_rows is None:
            if not self.tells_short_rows or not is_short_row(words):
                return None
            self.go_on_from_before()
            stitches = self.stitches()
            if stitches is None:
                return unread(UNKNOWN_BENEATH)
            self.short_rows = begin_short_rows(
                stitches, words, in_round=self.works_rounds, broken_off=self.broke_off
            )
        worked = work_short_row(self.short_rows, words, self.printed_number)
        if worked is None:
            return None
        self.short_rows = worked[0]
        if worked[1].verdict != "agrees":
            return worked[1]
        count, stitches = self.said_number(said), self.stitches()
        says = "" if count is None or count == stitches else f"says {count}, worked {stitches}"
        return replace(worked[1], said=count, says=says, verdict="disagrees" if says else "agrees")

    def _audited(self, text: str, head: Row | None = None) -> Audited:
        """A row worked over what is beneath, or over what the section before has left."""
        beneath = self.account.beneath.copy()
        audited = self.account.audit(text, head=head)
        if audited.says == UNKNOWN_BENEATH and self.go_on_from_before(beneath):
            audited = self.account.audit(text, head=head)
        return audited

    def _begin_piece(self, first: Row) -> None:
        """After a piece that was ended another is begun: its rows are counted from its first."""
        self.account.begin_anew()
        self.ended = False
        if first.numbers is None:
            self.account.beneath = Beneath(None)

    def _notice_elsewhere(self, text: str, statements: Sequence[Statement]) -> None:
        """Forget the count where the words go on elsewhere and do not say how many stitches are there."""
        if ELSEWHERE.search(text) and all(isinstance(one, Note) for one in statements):
            self.account.beneath, self.rows_worked, self.is_elsewhere = Beneath.unknown(), None, True
            self.is_split = True

    def _rows_under_statement(self, straight: Straight, text: str, whole: str) -> Audited | None:
        """`Work 8 rounds of rib: *k1, p1; repeat from * to the end`: one row is worked, all are counted."""
        before, shift = self.rows_worked, len(whole) - len(text)
        if is_numbered(text, self.craft):
            begin_frame(self, straight)
            self.row = row_name(read_rows(text, self.craft)[0])
        audited = self._audited(text)
        if audited.verdict == "unreadable":
            return replace(audited, start=audited.start + shift, end=audited.end + shift)
        if self.frame is None:
            self.rows_worked = before
            work_straight(self, straight)
        return audited

    def _tells_how_to_shape(self, text: str) -> bool:
        """`Decrease on RS rows: k1, ssk, …`, where what follows prints in which rows it is worked."""
        after = self.following
        leads = after is not None and (after.expands is not None or heads_a_change(after.text))
        return leads and names_a_change(text)

    def _describes_rows_of_a_plan(self, text: str) -> bool:
        """`Decrease row (RS): …`, where the plan printed next begins with the stitches there are now."""
        if self.shaped_next is None or not is_named_change(text):
            return False
        shaping = next(one for one in self.audit.pattern.shapings if one.name == self.shaped_next)
        return self.audit.facts.row(shaping.start)[self.size] == self.stitches()

    def _leads_to_shaping(self, text: str) -> bool:
        """`Decrease at each end:`, where what follows prints the rows."""
        return self.following is not None and self.following.expands is not None and heads_a_change(text)

    def _define(self, sentence: Sentence) -> Audited | None:
        """A row that is only described here is tried on the stitches there are, and not worked."""
        kept = self.account.beneath.copy(), list(self.account.history), self.rows_worked
        audited = self._audited(sentence.text)
        places = (audited.takes, audited.unworked, audited.left_over)
        if audited.leaves is not None and None not in places:
            self.change = audited.leaves - sum(number or 0 for number in places)
            self.described.append(self.change)
        self.account.beneath, self.account.history, self.rows_worked = kept
        called = named_change(sentence.text)
        if self.change and called and (self.change > 0) != (called == "increase"):
            does = f"adds {self.change}" if self.change > 0 else f"takes away {-self.change}"
            return disagrees(self.stitches(), f"it is called a row of {called}s, and {does} sts")
        return audited
