"""All that a beginning has can be practised, in small pieces whose counts come out."""

import pytest

from grading.beginnings.constructions import constructions
from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.practice.practice import practice_piece
from grading.core.practice.techniques import Teaching, offered_techniques
from tests.grading.beginnings.test_beginnings import CASES, GAUGES, begun, crafts


@pytest.mark.parametrize("key", constructions())
def test_all_that_a_beginning_has_can_be_practised(key):
    construction = constructions()[key]
    table = next(table for of, table in CASES if of == key)
    for craft, fabric in crafts(construction).items():
        options = [one["name"] for one in construction.options]
        document, graded = begun(key, table, fabric=fabric, gauge=GAUGES[craft][0], options=options)
        of = Teaching(read_pattern(document), graded)
        offered = [one.key for one in offered_techniques(of)]
        for keys in [offered, *([one] for one in offered)]:
            piece = practice_piece(of, keys)
            assert piece.is_small, (craft, keys)
            made = grade(read_pattern(piece.typed))
            lines = audit_pattern(facts_of(made.pattern, made))
            assert {line.verdict for line in lines} == {"agrees"}, (craft, keys)
            assert [one.says for one in made.findings if one.weight == "stop"] == []
            assert made.yarn, "no yarn is told"
