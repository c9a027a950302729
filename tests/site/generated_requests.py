"""Requests made up by chance: odd texts, files and parts of addresses, the same for the same seed."""

import random
from dataclasses import dataclass, field
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile

from tests.site.odd_requests import address_of, odd_addresses, written_out
from tests.site.rights_table import TABLE

# Beginnings of files that programs read: pictures, archives, tables, PDFs; what follows is chance.
BEGINNINGS = (
    b"\xff\xd8\xff\xe0", b"\x89PNG\r\n\x1a\n", b"RIFF\x00\x00\x00\x00WEBP", b"PK\x03\x04", b"%PDF-1.7\n",
    b"\xef\xbb\xbf", b"\xff\xfe", b"size,bust\n", b"{", b"",
)  # fmt: skip
NAMES = (
    "a.jpg",
    "a.png",
    "a.csv",
    "a.xlsx",
    "a.ods",
    "a.json",
    "../../a.zip",
    "a\r\nb.txt",
    "x" * 300,
    "日.webp",
)


@dataclass(frozen=True)
class Made:
    """One request: who sends it, how and where to, and what."""

    client: Any
    method: str
    address: str
    sent: dict[str, Any] = field(default_factory=dict)


def generated(number, seed, world, people, forms, texts):
    """So many requests: of ten, six fill a form, two send files, one has an odd address, one a question."""
    chance = random.Random(seed)
    with_files = [(client, one) for client, one in forms if one.files]
    with_parts = [name for name, row in TABLE.items() if row.parts]
    for place in range(number):
        kind = place % 10
        if kind < 8:
            client, one = chance.choice(with_files if kind in (6, 7) else forms)
            yield Made(client, one.method, one.action, filled(one, chance, texts))
            continue
        name = chance.choice(with_parts if kind == 8 else sorted(TABLE))
        odd = quoted(odd_text(chance, texts)[:200])
        address = (
            chance.choice(list(odd_addresses(name, world, odd))) if kind == 8 else address_of(name, world)
        )
        question = "" if kind == 8 else f"?{chance.choice('abcq')}={odd}&page={odd}&size={odd}"
        yield Made(people[TABLE[name].who], "post" if TABLE[name].is_sent else "get", address + question)


def filled(form, chance, texts):
    """A form as its page has it, with some fields odd, left out, or sent twice, and odd files."""
    sent: dict[str, Any] = dict(form.fields)
    for name in chance.sample(sorted(sent), min(len(sent), chance.randint(1, 4))):
        act = chance.random()
        if act < 0.15:
            del sent[name]
        else:
            odd = odd_text(chance, texts)
            sent[name] = (
                [sent[name], odd] if act < 0.25 else chance.choice((odd, sent[name] + odd, odd + sent[name]))
            )
    for name in form.files:
        content = chance.choice(BEGINNINGS) + chance.randbytes(chance.choice((0, 10, 2_000)))
        sent[name] = SimpleUploadedFile("x", content, chance.choice(("image/png", "text/csv", "x")))
        sent[name].name = chance.choice(NAMES).replace("/", "_")
    return sent


def odd_text(chance, texts):
    """One of the odd texts that are known, or signs, digits and marks by chance."""
    if chance.random() < 0.4:
        return written_out(chance.choice(texts), "text")[:20_000]
    signs = ("0123456789.,-+eE/ ", "{}[]()*^=<>\"'&%;:|\\", "aZé日🧶\u202e\u0301", "\x00\r\n\t")
    return "".join(chance.choice(chance.choice(signs)) for _ in range(chance.choice((1, 3, 12, 80))))


def quoted(text):
    """A text as an address carries it, bytes that are no UTF-8 among them."""
    return "".join(f"%{byte:02x}" for byte in text.encode("utf-8", "surrogatepass"))
