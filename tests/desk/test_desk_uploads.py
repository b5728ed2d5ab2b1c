"""Uploads go on after a kill, and nothing is taken that is not what it said."""

from __future__ import annotations

import hashlib
import socket
import time
from pathlib import Path
from random import Random
from typing import Any

import httpx
import pytest

from kingpost.visit.journal_writer import Writer
from tests.conftest import HOUSE
from tests.visit.journals import NINE, scribble

from .conftest import V
from .serving import API, TUS, Served, announced, at_offset, served, upload


def test_an_upload_in_pieces_lies_under_its_digest(client: Any) -> None:
    content = Random(1).randbytes(300_000)
    digest = hashlib.sha256(content).hexdigest()
    assert client.post(f"{API}/media/have", json={"media": [digest]}).json() == {"have": [], "missing": [digest]}
    made = client.post(f"{API}/uploads", headers=announced(content))
    at = f"{API}/uploads/{made.headers['location'].rsplit('/', 1)[1]}"
    for start in range(0, len(content), 100_000):
        assert client.head(at, headers=TUS).headers["upload-offset"] == str(start)
        assert client.patch(at, content=content[start : start + 100_000], headers=at_offset(start)).status_code == 204
    assert client.get(f"{API}/media/{digest}").content == content
    assert client.post(f"{API}/media/have", json={"media": [digest]}).json()["have"] == [digest]
    assert client.head(at, headers=TUS).status_code == 404  # it is done, and filed


def test_bytes_that_are_not_what_they_said_are_thrown_away(client: Any, tmp_path: Path) -> None:
    content, other = b"a" * 1000, hashlib.sha256(b"b" * 1000).hexdigest()
    made = client.post(f"{API}/uploads", headers=announced(content, digest=other))
    at = f"{API}/uploads/{made.headers['location'].rsplit('/', 1)[1]}"
    told = client.patch(at, content=content, headers=at_offset(0))
    assert (told.status_code, told.json()["error"]["code"]) == (460, "checksum")
    assert client.head(at, headers=TUS).status_code == 404
    assert [p for p in (tmp_path / "data" / "media").rglob("*") if p.is_file()] == []


def test_a_wrong_offset_is_refused_and_changes_nothing(client: Any) -> None:
    content = b"x" * 1000
    made = client.post(f"{API}/uploads", headers=announced(content))
    at = f"{API}/uploads/{made.headers['location'].rsplit('/', 1)[1]}"
    assert client.patch(at, content=content[:400], headers=at_offset(0)).status_code == 204
    assert client.patch(at, content=content[:400], headers=at_offset(0)).status_code == 409
    assert client.patch(at, content=content, headers=at_offset(400)).status_code == 400  # more than was announced
    offset = int(client.head(at, headers=TUS).headers["upload-offset"])
    assert client.patch(at, content=content[offset:], headers=at_offset(offset)).status_code == 204


def test_the_same_picture_twice_is_one_file(client: Any, tmp_path: Path) -> None:
    assert upload(client, b"same", API) == upload(client, b"same", API)
    assert len([p for p in (tmp_path / "data" / "media").rglob("*") if p.is_file()]) == 1


def test_a_full_disk_is_said_before_bytes_are_sent(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    import shutil
    from collections import namedtuple

    usage = namedtuple("usage", "total used free")
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage(1, 1, 1000))
    told = client.post(f"{API}/uploads", headers=announced(b"x" * 2000))
    assert (told.status_code, told.json()["error"]["code"]) == (507, "full")


def half_patch(one: Served, path: str, content: bytes, offset: int, sent: int) -> None:
    """A PATCH that stops in the middle of its body, as when a phone is carried out of reach."""
    address = httpx.URL(one.address)
    with socket.create_connection((address.host, address.port), timeout=20) as line:
        head = "".join(f"{k}: {v}\r\n" for k, v in at_offset(offset).items())
        rest = content[offset:]
        line.sendall(f"PATCH {path} HTTP/1.1\r\nHost: {address.host}:{address.port}\r\n{head}"
                     f"Content-Length: {len(rest)}\r\n\r\n".encode() + rest[:sent])  # fmt: skip
        time.sleep(0.15)
        one.kill()


def test_killed_in_the_middle_it_goes_on_and_the_digest_is_equal(tmp_path: Path) -> None:
    """SIGKILL in the middle of a PATCH, three times; each time a new server goes on from what lies on disk."""
    content, dice = Random(7).randbytes(4_000_000), Random(7)
    digest = hashlib.sha256(content).hexdigest()
    one = Served(tmp_path)
    try:
        path = API + "/uploads/" + one.client.post("/uploads", headers=announced(content)).headers["location"].rsplit(
            "/", 1)[1]  # fmt: skip
        reached = [0]
        for _ in range(3):
            half_patch(one, path, content, reached[-1], dice.randrange(400_000, 900_000))
            one = Served(tmp_path)
            reached.append(int(httpx.head(one.address + path, headers=TUS, trust_env=False).headers["upload-offset"]))
        assert reached == sorted(reached) and reached[-1] > 0
        rest, head = content[reached[-1] :], at_offset(reached[-1])
        sent = httpx.patch(one.address + path, content=rest, headers=head, timeout=60, trust_env=False)
        assert sent.status_code == 204
        assert hashlib.sha256(one.client.get(f"/media/{digest}").content).hexdigest() == digest
    finally:
        one.end()


def test_what_was_complete_at_a_kill_is_filed_at_the_next_start(tmp_path: Path) -> None:
    content = Random(3).randbytes(5000)
    digest = hashlib.sha256(content).hexdigest()
    with served(tmp_path) as one:
        name = one.client.post("/uploads", headers=announced(content)).headers["location"].rsplit("/", 1)[1]
        one.kill()
    (tmp_path / "uploads" / name).write_bytes(content)  # as if the kill had come after the last byte
    with served(tmp_path) as one:
        assert one.client.get(f"/media/{digest}").content == content


def test_what_was_taken_is_there_after_a_kill(tmp_path: Path) -> None:
    """Events go in one after the other; the server is killed as soon as it has answered. All that it took is there."""
    pen, dice = Writer("aaaa0001"), Random(5)
    taken = 0
    for round_ in range(3):
        one = Served(tmp_path)
        try:
            if not round_:
                one.client.post("/visits", json={"id": V, "toml": HOUSE})
            assert one.client.get(f"/visits/{V}").json()["events"] == taken
            for _ in range(20):
                made = scribble(pen, dice, NINE + taken)
                assert one.client.post(f"/visits/{V}/events", json={"events": [made.whole]}).json()["took"] == 1
                taken += 1
            one.kill()
        finally:
            one.end()
