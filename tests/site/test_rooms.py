"""Each room says in its docstring which rooms it imports: what it says is what the code does."""

import ast
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PARTS = ("grading/core", "grading", "catalogue", "testing")
SAYS = re.compile(r"May import: ([a-z_, \n]+)\.|Imports no other room\.")
FACES = {
    face: part
    for part in PARTS
    for face in sorted((ROOT / part).glob("*/__init__.py"))
    if SAYS.search(face.read_text(encoding="utf-8"))
}


def test_there_are_rooms_in_every_part():
    assert {part for part in PARTS if list(FACES.values()).count(part) >= 5} == set(PARTS)


@pytest.mark.parametrize("face", FACES, ids=lambda face: str(face.parent.relative_to(ROOT)))
def test_a_room_imports_the_rooms_that_it_names_and_no_others(face):
    part = FACES[face]
    told = SAYS.search(face.read_text(encoding="utf-8"))
    named = re.findall(r"[a-z_]+", told.group(1) or "") if told else []
    rooms = {one.parent.name for one in (ROOT / part).glob("*/__init__.py")}
    assert set(named) == (imported(face.parent, part.replace("/", ".")) & rooms) - {face.parent.name}


def imported(room, part):
    """The first names below a part that the modules of a room import."""
    found = set()
    for path in room.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            for module in modules_of(node):
                if module.startswith(f"{part}."):
                    found.add(module.removeprefix(f"{part}.").split(".")[0])
    return found


def modules_of(node):
    """What a statement imports, as dotted names."""
    if isinstance(node, ast.ImportFrom) and node.module:
        return [f"{node.module}.{one.name}" for one in node.names]
    return [one.name for one in node.names] if isinstance(node, ast.Import) else []
