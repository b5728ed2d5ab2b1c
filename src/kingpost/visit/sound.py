"""What was heard in the sound of a walk: one JSON file for each sound file, kept beside the visit.

    VISIT/.kingpost/heard/DIGEST.json     finished: cues with the time and the sureness of each word, or what went wrong
    VISIT/.kingpost/heard/DIGEST.part     pieces of a hearing that goes on, one a line (written and read by `listen`)

DIGEST is of the sound itself, so a file may be renamed. This room only reads them; `kingpost.listen.audio` writes them.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from .facts import Cue, Said

SCHEMA = "kingpost-heard/1"
FOLDER = Path(".kingpost") / "heard"
DIGITS = 32  # of the digest, in file names
BLOCK = 1 << 20


def digest(path: Path) -> str:
    """The name under which a sound file is known: from its bytes alone. Raises OSError."""
    sha = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            sha.update(block)
    return sha.hexdigest()[:DIGITS]


def kept_at(folder: Path, name: str) -> Path:
    """The file that holds what was heard of the sound with this digest."""
    return folder / f"{name}.json"


def kept(folder: Path, name: str) -> dict[str, Any] | None:
    """What was heard of a sound, or None where nobody has listened to it or the file is damaged."""
    try:
        found = json.loads(kept_at(folder, name).read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return None
    if not isinstance(found, dict) or found.get("schema") != SCHEMA or not isinstance(found.get("cues"), list):
        return None
    return found


def as_json(cues: Iterable[Cue]) -> list[dict[str, Any]]:
    """Cues as the kept file holds them: `words` is [text, start, end, sure, other] for each word."""
    return [
        {
            "words": [
                [text, word.start, word.end, word.sure, *([word.other] if word.other else [])]
                for text, word in zip(cue.text.split(), cue.words, strict=True)
            ]
        }
        for cue in cues
    ]


def cues(found: dict[str, Any], source: str) -> tuple[Cue, ...]:
    """The cues of a kept file under the name of their sound. Raises ValueError where the file is not as we write it."""
    out: list[Cue] = []
    try:
        for one in found["cues"]:
            words = [Said(float(a), float(b), float(sure), *map(str, more)) for _, a, b, sure, *more in one["words"]]
            text = " ".join(str(word[0]) for word in one["words"])
            if len(text.split()) != len(words) or not words:
                raise ValueError("a word holds a space")
            out.append(Cue(source, len(out), words[0].start, words[-1].end, text, words=tuple(words)))
    except (KeyError, TypeError, IndexError) as err:
        raise ValueError(f"no {err}") from None
    return tuple(out)
