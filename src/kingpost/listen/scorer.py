"""A small trained model over named features: a weighted sum, and where training wanted it one layer of hidden units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Scorer:
    """score(x) = bias + linear x + out tanh(inner x + inner_bias); the columns of x are named once, in `columns`."""

    columns: tuple[str, ...]
    linear: Floats
    bias: float = 0.0
    inner: Floats | None = None  # hidden units by columns
    inner_bias: Floats | None = None
    out: Floats | None = None

    def __call__(self, table: Any) -> Floats:
        """Scores of the rows of a table."""
        x = np.asarray(table, np.float64)
        score = x @ self.linear + self.bias
        if self.inner is not None and self.inner_bias is not None and self.out is not None and len(self.out):
            score = score + np.tanh(x @ self.inner.T + self.inner_bias) @ self.out
        told: Floats = score
        return told

    def plain(self) -> dict[str, Any]:
        """As it stands in weights.json; columns that weigh nothing are left out."""
        told: dict[str, Any] = {
            "bias": round(self.bias, 4),
            "linear": {
                n: round(v, 4) for n, v in zip(self.columns, self.linear.tolist(), strict=True) if abs(v) > 1e-4
            },
        }
        if self.inner is not None and self.inner_bias is not None and self.out is not None and len(self.out):
            used = np.flatnonzero(np.abs(self.inner).max(axis=0) > 1e-4).tolist()
            told["hidden"] = {
                "columns": [self.columns[k] for k in used],
                "inner": [[round(v, 4) for v in row] for row in self.inner[:, used].tolist()],
                "bias": [round(v, 4) for v in self.inner_bias.tolist()],
                "out": [round(v, 4) for v in self.out.tolist()],
            }
        return told


def scorer(told: Mapping[str, Any], columns: Sequence[str]) -> Scorer:
    """A model from weights.json for tables with these columns.

    >>> from kingpost.listen.scorer import scorer
    >>> scorer({"bias": 1.0, "linear": {"b": 2.0}}, ["a", "b"])([[9, 3], [0, 0]]).tolist()
    [7.0, 1.0]
    """
    at = {name: n for n, name in enumerate(columns)}
    linear = np.zeros(len(columns))
    for name, weight in told["linear"].items():
        linear[at[name]] = weight
    hidden = told.get("hidden")
    if not hidden:
        return Scorer(tuple(columns), linear, float(told.get("bias", 0.0)))
    inner = np.zeros((len(hidden["out"]), len(columns)))
    inner[:, [at[name] for name in hidden["columns"]]] = hidden["inner"]
    return Scorer(
        tuple(columns), linear, float(told.get("bias", 0.0)), inner, np.array(hidden["bias"]), np.array(hidden["out"])
    )
