import datetime as dt
from dataclasses import replace

import pytest

from testing.calls.schedule import dates_in_order, default_schedule, months_after


def test_the_usual_call_takes_a_week_to_apply_and_four_to_eight_weeks_to_make():
    # Common practice.
    schedule = default_schedule(dt.date(2027, 3, 1))
    assert schedule.apply_by == dt.date(2027, 3, 8)
    assert 28 <= (schedule.finish_by - schedule.starts_on).days <= 56
    assert dates_in_order(schedule) == ""


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"starts_on": dt.date(2027, 3, 2)}, "before the last day to apply"),
        ({"midway_on": dt.date(2027, 1, 1)}, "Midway"),
        ({"midway_on": dt.date(2027, 3, 15), "finish_by": dt.date(2027, 3, 15)}, "after the start"),
    ],
)
def test_dates_out_of_order_are_told(change, says):
    assert says in dates_in_order(replace(default_schedule(dt.date(2027, 3, 1)), **change))


def test_a_short_month_ends_early():
    assert months_after(dt.date(2027, 10, 31), 4) == dt.date(2028, 2, 29)
    assert months_after(dt.date(2027, 12, 15), 12) == dt.date(2028, 12, 15)
