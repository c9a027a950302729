"""The choices of an edition, in words and as a short text."""

Choices = dict[str, str]

WORDS = {
    "hand": {"right": "right-handed", "left": "left-handed"},
    "units": {"cm": "centimetres", "in": "inches", "both": "centimetres and inches"},
    "terms": {"US": "US terms", "UK": "UK terms"},
    "print": {
        "screen": "in colour",
        "saving": "print-saving, without photos",
        "large": "large print (18 pt)",
    },
    "paper": {"A4": "A4", "Letter": "Letter"},
}
# What there is beside helps in full, where a version has some.
HELPS = {"without": "without helps", "codes": "helps as QR codes"}


def choices_words(choices: Choices, told: str = "") -> str:
    """An edition in words: UK terms, centimetres, all sizes, with photos, A4.

    `told` are the options that are chosen, as the pattern says them: “with long sleeves”.
    """
    size = "all sizes" if choices["sizes"] == "all" else f"size {choices['sizes']} alone"
    if choices.get("group"):
        size = f"sizes of the group {choices['group']}"
    if choices.get("options"):
        size += f", {told}" if told else f" with {choices['options'].replace('=', ': ').replace(';', ', ')}"
    if choices.get("shades"):
        size += " in your shades"
    hand = ["left-handed"] if choices["hand"] == "left" else []
    names = ("print", "paper")
    helps = [HELPS[choices["helps"]]] if choices.get("helps") in HELPS else []
    words = [WORDS["terms"][choices["terms"]], WORDS["units"][choices["units"]], size]
    return ", ".join([*words, *hand, *helps, *(WORDS[name][choices[name]] for name in names)])


def printed_choices(
    choices: Choices, told: str = "", *, has_one_size: bool = False, is_wide: bool = False
) -> str:
    """An edition in words, in the spelling of its own terms; sizes where there is more than one.

    `is_wide`: up to the second wording, in which a size stood “alone”.
    """
    words = choices_words(choices, told)
    if not is_wide:
        words = words.replace(f"size {choices['sizes']} alone", f"size {choices['sizes']} only")
    if has_one_size:
        words = words.replace("all sizes, ", "")
    return words.replace("metres", "meters").replace("colour", "color") if choices["terms"] == "US" else words


def choices_code(choices: Choices) -> str:
    """An edition as a short text that a form sends back."""
    known = [choices[name] for name in ("hand", "units", "terms", "sizes", "print", "paper")]
    return "|".join(
        [
            *known,
            *(
                f"{name} {choices[name]}"
                for name in ("group", "options", "shades", "helps")
                if name in choices
            ),
        ]
    )
