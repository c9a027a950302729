"""What a tester is asked once they have a place, in its order."""

from dataclasses import dataclass

from testing.asked.figures import Figures


@dataclass(frozen=True)
class Question:
    """One thing to send in: its part and name as stored, what it is called, and how it is measured."""

    part: str
    name: str
    label: str
    how: str = ""


def questions_of(figures: Figures) -> list[Question]:
    """All that is asked: gauges, measurements, yarn, hours, a photo; `how` in words of the pattern file."""
    word = figures.gauge_word.capitalize()
    return [
        *(Question("gauge", one.name, f"{word}: {one.label}") for one in figures.fabrics),
        *(
            Question("measured", one.name, one.label, one.measured.how if one.measured else "")
            for one in figures.measurements
        ),
        Question("yarn", "", "Yarn used"),
        Question("hours", "", "Hours"),
        Question("photo", "", "A photo"),
    ]
