"""Lists of short words, as people type them: with commas between."""

from django import forms

from grading.entries.single_lines import LineField

MOST_WORDS, LONGEST_WORD = 12, 40


class WordsField(LineField):
    """Words with commas between: each once, without signs of other places such as “#”."""

    def __init__(self, **options: object) -> None:
        options.setdefault("max_length", 600)
        super().__init__(required=False, **options)  # type: ignore[arg-type]

    def prepare_value(self, value: object) -> object:
        """A stored list as it is typed."""
        return ", ".join(value) if isinstance(value, list) else value

    def has_changed(self, initial: object, data: object) -> bool:
        """Compare what is typed with the list as it is typed."""
        return bool(super().has_changed(self.prepare_value(initial), data))

    def clean(self, value: object) -> list[str]:
        """Return the words as typed, each once, whatever its capitals: proper names keep theirs.

        Raises:
            forms.ValidationError: There are too many, or one is too long.
        """
        typed = str(super().clean(value))
        words = [" ".join(one.replace("#", " ").split()) for one in typed.split(",")]
        firsts: dict[str, str] = {}
        for one in words:
            firsts.setdefault(one.casefold(), one)
        found = [one for one in firsts.values() if one]
        if len(found) > MOST_WORDS:
            raise forms.ValidationError(
                f"At most {MOST_WORDS} fit, these are {len(found)}: keep those that makers look for."
            )
        if long := next((one for one in found if len(one) > LONGEST_WORD), None):
            raise forms.ValidationError(f"“{long[:30]}…” is too long: put commas between the words.")
        return found
