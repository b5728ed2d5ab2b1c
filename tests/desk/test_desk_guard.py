"""Bound elsewhere, nobody gets in without a key; a key is given once for a token that the computer showed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kingpost.desk import app as desk_app
from kingpost.desk import guard, store

API = "/api/1"


@pytest.fixture
def outside(tmp_path: Path) -> Iterator[Any]:
    made = desk_app.make(tmp_path, local=False, address="https://desk.example:8484", secure=True)
    with TestClient(made, base_url="https://desk.example:8484") as client:
        yield client


def token(client: Any) -> str:
    return str(client.app.state.desk.pairing.token()[0])


def test_every_door_is_shut_without_a_key(outside: Any) -> None:
    for method, path in (("GET", "/visits"), ("POST", "/pair/new"), ("GET", "/pairs"), ("POST", "/uploads"),
                         ("GET", "/media/" + "0" * 64), ("GET", "/nothing"), ("POST", "/media/have")):  # fmt: skip
        told = outside.request(method, API + path)
        assert (told.status_code, told.json()["error"]["code"]) == (401, "not_paired"), path
    about = outside.get(f"{API}/about").json()
    assert (about["needs_pairing"], about["paired"]) == (True, False)


def test_a_token_opens_once(outside: Any) -> None:
    good = token(outside)
    told = outside.post(f"{API}/pair", json={"token": good, "name": "phone"})
    assert told.status_code == 200
    cookie = told.headers["set-cookie"].lower()
    assert "httponly" in cookie and "secure" in cookie and "samesite=strict" in cookie
    key = told.json()["key"]
    outside.cookies.clear()
    assert outside.post(f"{API}/pair", json={"token": good, "name": "thief"}).status_code == 401
    assert outside.get(f"{API}/visits").status_code == 401
    assert outside.get(f"{API}/visits", headers={"Authorization": f"Bearer {key}"}).status_code == 200
    outside.cookies.set(guard.COOKIE, key)
    assert outside.get(f"{API}/visits").status_code == 200
    assert outside.get(f"{API}/about").json()["paired"] is True


def test_a_token_grows_old(outside: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    old, now = token(outside), store.now_ms()
    monkeypatch.setattr(guard, "now_ms", lambda: now + guard.TOKEN_MS + 1)
    assert outside.post(f"{API}/pair", json={"token": old, "name": "phone"}).status_code == 401


def test_a_device_can_be_shut_out_again(outside: Any) -> None:
    key = outside.post(f"{API}/pair", json={"token": token(outside), "name": "phone"}).json()["key"]
    outside.cookies.clear()
    head = {"Authorization": f"Bearer {key}"}
    pair = outside.get(f"{API}/pairs", headers=head).json()["pairs"][0]
    assert pair["name"] == "phone"
    assert outside.delete(f"{API}/pairs/{pair['id']}", headers=head).status_code == 204
    assert outside.get(f"{API}/visits", headers=head).status_code == 401


def test_guessing_is_slowed_down(outside: Any) -> None:
    tries = [outside.post(f"{API}/pair", json={"token": f"guess{i}", "name": "x"}).status_code for i in range(25)]
    assert set(tries[:20]) == {401}
    assert tries[-1] == 429


def test_neither_tokens_nor_keys_lie_on_disk(outside: Any, tmp_path: Path) -> None:
    good = token(outside)
    key = outside.post(f"{API}/pair", json={"token": good, "name": "phone"}).json()["key"]
    kept = b"".join(p.read_bytes() for p in tmp_path.rglob("kingpost.db*"))
    assert good.encode() not in kept and key.encode() not in kept


def test_the_code_holds_the_address(outside: Any) -> None:
    """Read back by a reader that is not ours: OpenCV's."""
    cv2 = pytest.importorskip("cv2")
    np = pytest.importorskip("numpy")
    outside.post(f"{API}/pair", json={"token": token(outside), "name": "desk"})
    told = outside.post(f"{API}/pair/new").json()
    assert told["address"] == f"https://desk.example:8484/#pair={told['token']}"
    assert told["svg"].startswith("<svg")
    import segno

    rows = np.array([list(row) for row in segno.make(told["address"], error="m").matrix_iter(scale=8, border=4)])
    picture = np.where(rows, 0, 255).astype(np.uint8)
    assert cv2.QRCodeDetector().detectAndDecode(picture)[0] == told["address"]


def test_only_loopback_counts_as_this_machine() -> None:
    assert [guard.is_local(h) for h in ("127.0.0.1", "127.9.9.9", "localhost", "::1")] == [True] * 4
    assert [guard.is_local(h) for h in ("0.0.0.0", "192.168.1.5", "::", "localhost.evil.example", "")] == [False] * 5
