"""Training walks: whole invented walks with their labels in braces; the ear learns what leans on what was said before.

    Front. {exterior_steps_settled_masonry: Top step's dropped off the sill.} {praise: Brick's been pointed.}

A label is a condition (or several, parted by |), `other` for a finding that no condition fits, or what else a stretch
does.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from check_corpus import ACTS

FOLDER = Path(__file__).parent / "walks"
LABELLED = re.compile(r"\{([^{}:]*):([^{}]*)\}")


@dataclass(frozen=True)
class Stretch:
    """A stretch of a walk: its words, what it does, the conditions that would be right (none: not in the catalogue)."""

    text: str
    act: str  # "" is plain talk
    conditions: tuple[str, ...] = ()


@dataclass(frozen=True)
class TrainingWalk:
    """One walk; `bare` as a recogniser gives it that writes no punctuation."""

    name: str
    bare: bool
    stretches: tuple[Stretch, ...]


def read(path: Path) -> TrainingWalk:
    """One walk from its file."""
    text = path.read_text("utf-8")
    head, _, rest = text.partition("\n")
    bare = head.strip() == "# bare"
    text = rest if head.startswith("#") else text
    out, at = [], 0
    for hit in LABELLED.finditer(text):
        out.append(Stretch(text[at : hit.start()].strip(), ""))
        label = hit[1].strip()
        if label in ACTS:
            out.append(Stretch(hit[2].strip(), label))
        else:
            names = () if label == "other" else tuple(one.strip() for one in label.split("|"))
            out.append(Stretch(hit[2].strip(), "finding", names))
        at = hit.end()
    out.append(Stretch(text[at:].strip(), ""))
    return TrainingWalk(path.stem, bare, tuple(s for s in out if s.text))


def all_walks() -> list[TrainingWalk]:
    """Every walk of the folder, in order of name."""
    return [read(path) for path in sorted(FOLDER.glob("*.txt"))]
