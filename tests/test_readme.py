"""The first screen of the README is true: the commands print what it shows."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text("utf-8")


def run(*words: str) -> list[str]:
    """The lines that a command prints."""
    done = subprocess.run([sys.executable, "-m", "kingpost.cli", *words], cwd=ROOT, capture_output=True, text=True)
    return [line.rstrip() for line in done.stdout.splitlines() if line.strip()]


def shown() -> list[str]:
    """The indented lines of the README."""
    return [line[4:].rstrip() for line in README.splitlines() if line.startswith("    ")]


def test_the_check_prints_what_the_readme_shows() -> None:
    (command,) = [line for line in shown() if line.startswith("$ kingpost check")]
    said = run(*command.removeprefix("$ kingpost ").split())
    assert said and set(said) <= set(shown())


def test_the_demo_ends_as_the_readme_shows(tmp_path: Path) -> None:
    said = run("report", "examples/split-level-1964", "-o", str(tmp_path), "--no-pdf")
    told = [line for line in shown() if re.match(r"\d+ (remarks|findings|photos|of )", line)]
    assert len(told) == 5 and set(told) <= set(said)


def test_every_page_that_the_readme_names_is_there() -> None:
    for name in re.findall(r"\]\(([\w./-]+)\)", README):
        assert (ROOT / name).exists(), name
