from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

pytest.importorskip("fastapi")

from starlette.testclient import TestClient

from kingpost.desk import app as desk_app
from tests.conftest import HOUSE

V = "alder-row"


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Any]:
    """The application without a socket, with one visit; nothing is judged unless a test wants it."""
    monkeypatch.setattr("kingpost.desk.judging.SETTLES_S", 3600.0)
    with TestClient(desk_app.make(tmp_path / "data"), raise_server_exceptions=False) as made:
        assert made.post("/api/1/visits", json={"id": V, "toml": HOUSE}).status_code == 201
        yield made
