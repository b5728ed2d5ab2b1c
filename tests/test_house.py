"""The house plan is a test: who may import whom, where there is no clock, no chance, no bare number."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).parent.parent / "src" / "kingpost"

# room: the rooms it may import from, as the house plan has them; docs/contract.md and the plan say the same
MAY_IMPORT = {
    "measure": set(),
    "trade": {"measure"},
    "visit": {"trade"},
    "listen": {"visit", "trade"},
    "look": {"visit", "trade", "measure"},
    "survey": {"visit", "measure"},
    "judge": {"visit", "trade", "measure", "listen", "look", "survey"},
    "weigh": {"judge", "visit", "trade", "measure", "listen", "look", "survey"},
    "duty": {"judge", "visit", "trade", "measure", "listen", "look", "survey"},
    "tell": {"weigh", "duty", "judge", "visit", "trade", "measure", "listen", "look", "survey"},
}
DOORS = {"cli", "commands", "terminal", "inspection", "desk", "__init__"}  # thin, and may open every room
CORE = ("measure", "judge", "trade")  # runs in a browser without any package
CLOCKS = {"time", "random", "secrets", "uuid"}
NOW = {"now", "today", "utcnow"}
DATES = {"datetime", "date"}
PLAIN_NUMBERS = {0, 1, 2, 100, -1, 0.5}

# numbers of the engine, not of the trade; each with its reason
ALLOWED_NUMBERS: dict[tuple[str, float], str] = {
    ("judge/evidence.py", 0.6): "how alike a misspelt quantity must be to be suggested",
    ("judge/findings.py", 0.6): "below this chance a draft is marked doubtful; nothing is judged by it",
    ("judge/findings.py", 3): "decimals of a chance and of seconds; a / sqrt(3), JCGM 100:2008, 4.3.7",
    ("judge/findings.py", 10): "digits of a stable id",
    ("judge/findings.py", 40): "words of a quote that are shown",
    ("judge/findings.py", 60): "seconds and minutes of a clock",
    ("judge/findings.py", 3600): "seconds of an hour",
    ("judge/panel.py", 3): "poles of a breaker",
    ("judge/proven.py", 3): "decimals of a chance",
    ("judge/run.py", 6): "bytes of a stable id",
}


def modules() -> list[Path]:
    return sorted(SOURCE.rglob("*.py"))


def room_of(path: Path) -> str:
    first = path.relative_to(SOURCE).parts[0]
    return first.removesuffix(".py")


def imports(path: Path) -> Iterator[tuple[str, int]]:
    """Every imported module by its full name: also `from kingpost import judge`, and relative ones resolved."""
    package = ["kingpost", *path.relative_to(SOURCE).parent.parts]
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = package[: len(package) - node.level + 1] if node.level else []
            name = ".".join([*base, *([node.module] if node.module else [])])
            yield name, node.lineno
            if name == "kingpost":
                yield from ((f"kingpost.{alias.name}", node.lineno) for alias in node.names)


def every_import() -> list[tuple[Path, str, int]]:
    return [(path, name, line) for path in modules() for name, line in imports(path)]


def at(path: Path, line: int) -> str:
    return f"{path.relative_to(SOURCE.parent)}:{line}"


def test_every_room_stands_in_the_plan() -> None:
    rooms = {room_of(path) for path in modules()}
    assert rooms - DOORS - set(MAY_IMPORT) == set()


def test_imports_only_look_down() -> None:
    wrong = []
    for path, name, line in every_import():
        room, parts = room_of(path), name.split(".")
        if parts[0] != "kingpost" or len(parts) < 2 or room in DOORS:
            continue
        target = parts[1]
        if target not in {room, "__version__"} | MAY_IMPORT[room]:
            wrong.append(f"{at(path, line)}: {room} imports {name}")
    assert wrong == []


def test_between_rooms_imports_are_absolute_and_within_one_relative() -> None:
    wrong = []
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.ImportFrom) or room_of(path) in DOORS - {"desk", "commands"}:
                continue
            depth = len(path.relative_to(SOURCE).parts) - 1
            if node.level > depth or (not node.level and (node.module or "").startswith(f"kingpost.{room_of(path)}")):
                wrong.append(at(path, node.lineno))
    assert wrong == []


def test_the_core_needs_the_standard_library_only() -> None:
    import sys

    allowed = sys.stdlib_module_names | {"kingpost"}
    wrong = [
        f"{at(path, line)}: {name}"
        for path, name, line in every_import()
        if room_of(path) in CORE and name.split(".")[0] not in allowed
    ]
    assert wrong == []


# Draws whose seed is made of the readings themselves, so that the same folder gives the same bytes.
SEEDED = {("measure/life.py", "random"): "futures of a plan (fabric 0: fixed seed from the inputs)"}


def test_no_clock_and_no_chance_below_the_desk() -> None:
    wrong = [
        f"{at(path, line)}: {name}"
        for path, name, line in every_import()
        if room_of(path) not in ("desk",)
        and name.split(".")[0] in CLOCKS
        and (path.relative_to(SOURCE).as_posix(), name.split(".")[0]) not in SEEDED
    ]
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if room_of(path) == "desk" or not isinstance(node, ast.Attribute) or node.attr not in NOW:
                continue
            if ast.unparse(node.value).split(".")[-1] in DATES:  # date.today, but not the today of a set of rules
                wrong.append(f"{at(path, node.lineno)}: .{node.attr}")
    assert wrong == []


def numbers(path: Path) -> Iterator[tuple[float, int]]:
    """Every number written in code, with the minus that stands before it; those in texts and types do not count."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    below = {
        id(node.operand) for node in ast.walk(tree) if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, (int, float)) and not isinstance(node.value, bool):
            yield -node.value if id(node) in below else node.value, node.lineno


def test_judge_holds_no_number_of_the_trade() -> None:
    wrong = [
        f"{at(path, line)}: {number}"
        for path in sorted((SOURCE / "judge").rglob("*.py"))
        for number, line in numbers(path)
        if number not in PLAIN_NUMBERS and (path.relative_to(SOURCE).as_posix(), number) not in ALLOWED_NUMBERS
    ]
    assert wrong == [], "limits live in trade/data; a number of the engine goes into ALLOWED_NUMBERS with its reason"


def test_every_allowed_number_is_still_there() -> None:
    found = {
        (path.relative_to(SOURCE).as_posix(), number)
        for path in (SOURCE / "judge").rglob("*.py")
        for number, _ in numbers(path)
    }
    assert set(ALLOWED_NUMBERS) - found == set()
    assert all(ALLOWED_NUMBERS.values())


def test_there_is_no_attic() -> None:
    attics = {"util", "utils", "helper", "helpers", "common", "misc"}
    assert [at(path, 1) for path in modules() if path.stem in attics or set(path.parts) & attics] == []


SNEAKS = {
    "a plain import": ("import kingpost.judge.run\n", "kingpost.judge.run"),
    "from the top": ("from kingpost import judge\n", "kingpost.judge"),
    "from a room": ("from kingpost.judge import run\n", "kingpost.judge"),
    "up and over": ("from ..judge import run\n", "kingpost.judge"),
    "up to the top": ("from .. import judge\n", "kingpost.judge"),
    "late": ("def f():\n    from kingpost.judge.run import all\n", "kingpost.judge.run"),
}


@pytest.mark.parametrize(("text", "name"), SNEAKS.values(), ids=SNEAKS)
def test_no_way_of_importing_is_missed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, text: str, name: str) -> None:
    monkeypatch.setitem(globals(), "SOURCE", tmp_path)
    path = tmp_path / "measure" / "sneak.py"
    path.parent.mkdir()
    path.write_text(text)
    assert name in {found for found, _ in imports(path)}
