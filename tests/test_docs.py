"""What a person can type is written down, and what is written down can be typed."""

from __future__ import annotations

import argparse
import re
from pathlib import Path

import pytest

from kingpost import cli
from kingpost.visit import house, journal, readings

DOCS = Path(__file__).parent.parent / "docs"
COMMANDS = (DOCS / "commands.md").read_text(encoding="utf-8")
FOLDER = (DOCS / "visit-folder.md").read_text(encoding="utf-8")


def commands() -> dict[str, argparse.ArgumentParser]:
    for action in cli._parser()._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    raise AssertionError("no commands")


def section(command: str) -> str:
    found = re.search(rf"(?ms)^## kingpost {re.escape(command)}\b.*?(?=^## |\Z)", COMMANDS)
    assert found, f"docs/commands.md has no section on {command}"
    return found[0]


@pytest.mark.parametrize("name", commands())
def test_every_command_and_option_has_help_and_is_written_down(name: str) -> None:
    parser = commands()[name]
    assert parser.description
    for action in parser._actions:
        assert action.help, f"{name}: {action.dest} has no help"
        if isinstance(action, argparse._HelpAction):
            continue
        for option in action.option_strings or [str(action.metavar)]:
            assert option in section(name), f"{name}: {option} is not in docs/commands.md"


def test_no_command_or_option_is_written_down_that_is_not_there() -> None:
    told = set(re.findall(r"(?m)^## kingpost ([a-z]+)", COMMANDS))
    assert told == set(commands())
    for name, parser in commands().items():
        options = {option for action in parser._actions for option in action.option_strings}
        assert set(re.findall(r"(?m)^\| `(--?[a-z-]+)", section(name))) <= options


def test_every_key_of_visit_toml_is_written_down() -> None:
    rows = {m[1]: m[2] for m in re.finditer(r"(?m)^\| `\[\[?([a-z]+)\]\]?` \| (.*) \|$", FOLDER)}
    known = house.TABLES | house.LISTS
    assert set(rows) == set(known)
    for table, keys in known.items():
        assert set(re.findall(r"`([a-z_]+)`", rows[table])) == set(keys), table


def test_columns_and_verbs_are_written_down() -> None:
    assert ",".join(readings.COLUMNS) in FOLDER
    assert ", ".join(journal.VERBS) in " ".join(FOLDER.split())
