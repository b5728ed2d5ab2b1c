"""panel.toml: what is read, and what is named with its line. The panels are invented."""

from __future__ import annotations

from pathlib import Path

import pytest

from kingpost.visit import panel
from kingpost.visit.errors import Troubles
from kingpost.visit.facts import Panel


def read(folder: Path, text: str | bytes) -> tuple[Panel | None, list[str]]:
    content = text.encode() if isinstance(text, str) else text
    (folder / "panel.toml").write_bytes(content)
    told = Troubles()
    return panel.read(folder, told), [str(t) for t in told.all()]


def test_no_file_is_no_trouble(tmp_path: Path) -> None:
    told = Troubles()
    assert panel.read(tmp_path, told) is None and told.all() == ()


def test_a_row_with_everything(tmp_path: Path) -> None:
    found, told = read(
        tmp_path,
        """[panel]
place = "garage"
year = 1998
spaces = 30
main_present = true

[[row]]
position = [2, 4]
poles = 2
rating_a = 40
conductor = "8 Cu"
label = "AC"
observed = "condenser"
nameplate = { name = "condenser", mca_a = 26.2, mop_a = 45 }
afci = false
""",
    )
    assert told == [] and found is not None
    assert (found.place, found.year, found.spaces, found.main_present) == ("garage", 1998, 30, True)
    row = found.rows[0]
    assert (row.position, row.poles, row.rating_a, row.conductor, row.line) == ("2/4", 2, 40.0, "8 Cu", 7)
    assert row.observed == ("condenser",) and row.nameplate["mop_a"] == 45.0 and row.more == {"afci": False}


def test_other_words_for_the_same_keys(tmp_path: Path) -> None:
    found, told = read(tmp_path, '[[row]]\nposition = 5\namps = 20\nwire = "12 Cu"\ndead = ["disposer"]\n')
    assert told == [] and found is not None
    assert (found.rows[0].rating_a, found.rows[0].conductor, found.rows[0].observed) == (20.0, "12 Cu", ("disposer",))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("[[row]]\nposition = 1\nrating_a = -20\n", "panel.toml:3: rating_a is -20, which cannot be used; write amps"),
        (
            '[[row]]\nposition = 1\nrating_a = "20"\n',
            'panel.toml:3: rating_a is "20", which cannot be used; write amps',
        ),
        ("[[row]]\nposition = 1\nrating_a = nan\n", "panel.toml:3: rating_a is nan, which cannot be used; write amps"),
        ("[[row]]\nposition = 1\nrating_a = 200000\n", "panel.toml:3: rating_a is 200000, which cannot be used"),
        ("[[row]]\nposition = 1\npoles = 4\n", "panel.toml:3: poles is 4, which cannot be used; write 1 or 2"),
        ("[[row]]\nposition = true\n", "panel.toml:2: position is True, which cannot be used; write the number"),
        ("[[row]]\nrating_a = 20\n", "panel.toml:1: [[row]] has no position; add position = 7"),
        ("[[row]]\nposition = 1\n[[row]]\nposition = 1\n", "panel.toml:3: position 1 stands twice (first at line 1)"),
        ("[[row]]\nposition = 1\nlable = 'x'\n", 'panel.toml:3: unknown key "lable"; did you mean label?'),
        ("[[row]]\nposition = 1\nnameplate = 26\n", "panel.toml:3: nameplate is not a table; write nameplate = {"),
        (
            "[[row]]\nposition = 1\nafci = 'no'\n",
            'panel.toml:3: afci is "no", which cannot be used; write true or false',
        ),
        ("[row]\nposition = 1\n", "panel.toml:1: [row] stands alone; write [[row]], once for each breaker"),
        ("[[breaker]]\nposition = 1\n", 'panel.toml:1: "breaker" is not known here; write [panel] once and [[row]]'),
        ("[[row]\n", "panel.toml:1: "),
        (b"\xff\xfe\x00\x01\x02", "panel.toml: is not text"),
        ("", "panel.toml: is empty"),
    ],
)
def test_what_cannot_be_used_is_named_with_its_line(tmp_path: Path, text: str | bytes, told: str) -> None:
    _, found = read(tmp_path, text)
    assert any(one.startswith(told) for one in found), found


def test_a_bad_value_costs_itself_and_not_its_row(tmp_path: Path) -> None:
    found, _ = read(tmp_path, '[[row]]\nposition = 1\nrating_a = "x"\nlabel = "range"\n')
    assert found is not None and found.rows[0].label == "range" and found.rows[0].rating_a is None
