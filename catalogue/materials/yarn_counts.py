"""How fine a yarn is, as people write it: in tex and its kin, or as a count."""

import re

from grading.core.yarn.units import metres_per_100g_of_count, metres_per_100g_of_tex

_TEX = re.compile(r"(?i)(\d+(?:\.\d+)?)\s*(tex|dtex|denier)")
_METRIC = re.compile(r"(?i)(?:Nm\s*)?(?:(\d{1,2})\s*/\s*)?(\d+(?:\.\d+)?)\s*(?:Nm)?")


def read_yarn_count(text: str) -> float | None:
    """Metres in 100 g of “250 tex”, “2500 dtex”, “Nm 4” or “2/28 Nm”; None for what is no such figure."""
    written = text.strip()
    if found := _TEX.fullmatch(written):
        amount = float(found.group(1))
        return metres_per_100g_of_tex(amount, found.group(2).lower()) if amount > 0 else None
    if "nm" not in written.lower():
        return None
    metric = _METRIC.fullmatch(written)
    if metric is None or float(metric.group(2)) <= 0 or metric.group(1) == "0":
        return None
    return metres_per_100g_of_count(float(metric.group(2)), "Nm", int(metric.group(1) or 1))
