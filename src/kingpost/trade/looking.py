"""What pictures are looked at for, as data: looking/heat.toml and looking/plates.toml, a firm's own over ours."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any

from .load import DATA
from .reading import Fault, TradeError


@lru_cache(maxsize=8)
def table(name: str, *over: Path) -> Mapping[str, Any]:
    """One table of `looking/`, the last folder that has it. Raises TradeError where it is not TOML."""
    path = [p for p in (folder / "looking" / name for folder in (DATA, *over)) if p.exists()][-1]
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError) as err:
        raise TradeError([Fault(str(path), None, f"cannot be used ({err})", "mend it, or take it out")]) from None
