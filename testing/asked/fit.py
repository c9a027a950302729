"""What testers are asked about the fit, by area."""

AREAS = {"bust": "Bust", "upper_arm": "Upper arm", "hip": "Hip", "neck": "Neck", "length": "Length"}
FITS = {"tight": "too tight", "right": "right", "loose": "too loose"}
LENGTHS = {"tight": "too short", "right": "right", "loose": "too long"}
WEARERS = {"me": "Me", "other": "Someone else"}


def fit_words(area: str) -> dict[str, str]:
    """The answers for an area; a length is short or long."""
    return LENGTHS if area == "length" else FITS
