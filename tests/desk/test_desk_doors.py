"""The doors: events come in as sent, in any order and as often as they like; every refusal has one shape."""

from __future__ import annotations

import json
from random import Random
from typing import Any

import pytest

from kingpost.desk.errors import CODES
from kingpost.visit.journal_form import event
from kingpost.visit.journal_writer import Writer
from tests.visit.journals import NINE, scribble

from .conftest import V
from .serving import TUS, announced, at_offset, upload

API = "/api/1"
EVENTS = f"{API}/visits/{V}/events"


def some(count: int, device: str = "aaaa0001", seed: int = 1) -> list[dict[str, Any]]:
    pen, dice = Writer(device), Random(seed)
    return [scribble(pen, dice, NINE + 1000 * i).whole for i in range(count)]


def test_events_come_back_as_they_were_sent(client: Any) -> None:
    sent = some(30)
    told = client.post(EVENTS, json={"events": sent}).json()
    assert (told["took"], told["had"], told["odd"]) == (30, 0, [])
    assert told["heads"] == {"aaaa0001": {"seq": 30, "digest": event(sent[-1]).digest, "missing": []}}
    back = client.get(EVENTS, params={"most": 20}).json()
    rest = client.get(EVENTS, params={"after": back["cursor"]}).json()
    assert (back["more"], rest["more"]) == (True, False)
    assert [e["event"] for e in (*back["events"], *rest["events"])] == sent


def test_lines_of_the_command_line_and_the_catalogue_are_told(client: Any) -> None:
    folder = client.app.state.desk.store.folder(V)
    line = {"id": "d1", "subject": "f1", "verb": "set_aside", "at": "2026-05-12T18:10:00-05:00", "why": "said twice"}
    (folder / "decisions.jsonl").write_text(f"not one\n{json.dumps(line)}\n")
    (told,) = client.get(f"{API}/visits/{V}/decisions").json()["decisions"]
    assert told == line | {"hlc": "001778627400000-00000", "device": "", "file": "decisions.jsonl", "line": 2}
    all_of_it = {c["id"]: c for c in client.get(f"{API}/visits/{V}/catalogue").json()["conditions"]}
    assert (all_of_it["doorbell_dead"]["part"], len(all_of_it) > 800) == ("doorbell", True)
    (folder / "trade" / "conditions").mkdir(parents=True)
    (folder / "trade" / "conditions" / "own.toml").write_text("[[condition]]\nid = 3\n")
    assert client.get(f"{API}/visits/{V}/catalogue").status_code == 422


def test_repeats_gaps_and_any_order_are_welcome(client: Any) -> None:
    sent = some(10)
    first = client.post(EVENTS, json={"events": [*sent[6:], *sent[:3]]}).json()
    assert first["heads"]["aaaa0001"]["missing"] == [[4, 6]]
    again = client.post(EVENTS, json={"events": [*sent, *sent]}).json()
    assert (again["took"], again["had"]) == (3, 17)
    assert again["heads"]["aaaa0001"]["missing"] == []


def test_one_bad_event_does_not_hold_up_the_others(client: Any) -> None:
    sent = some(3)
    sent.insert(1, {**sent[1], "seq": 99})
    told = client.post(EVENTS, json={"events": [*sent, "noise"]}).json()
    assert told["took"] == 3
    assert [o["where"] for o in told["odd"]] == ["events[1]", "events[4]"]
    assert 'id is not "aaaa0001.99"' in told["odd"][0]["problem"]


def test_events_of_a_newer_app_are_kept_and_handed_on(client: Any) -> None:
    new = Writer("aaaa0001").write(NINE, "scan", cloud=[[1.5, 2]], note="from next year").whole
    assert client.post(EVENTS, json={"events": [{**new, "v": 9}], "mood": "good"}).json()["took"] == 1
    assert client.get(EVENTS).json()["events"][0]["event"] == {**new, "v": 9}
    assert "does not know" in client.get(f"{API}/visits/{V}/fold").json()["trouble"][0]["problem"]


def test_the_fold_shows_loops_with_what_is_still_open(client: Any) -> None:
    pen = Writer("aaaa0001")
    tap = pen.write(NINE, "open", thing="hall bath hot tap", place="hall bath", again_s=300)
    lamp = pen.write(NINE + 1, "open", thing="attic light")
    shut = pen.write(NINE + 2, "close", loop=lamp.id)
    client.post(EVENTS, json={"events": [e.whole for e in (tap, lamp, shut)]})
    loops = client.get(f"{API}/visits/{V}/fold").json()["loops"]
    assert [(x["thing"], x["put_back"], x["again_s"]) for x in loops] == [
        ("hall bath hot tap", False, 300.0), ("attic light", True, None)]  # fmt: skip


def test_a_visit_made_on_the_phone_is_made_once(client: Any) -> None:
    told = {"id": "made-on-phone", "house": {"name": 'The "Pines"', "built": 1958}, "visit": {
        "started": "2026-05-12T09:00:00-05:00"}}  # fmt: skip
    first, again = client.post(f"{API}/visits", json=told), client.post(f"{API}/visits", json=told)
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json()["name"] == 'The "Pines"'
    assert first.json()["started"] == "2026-05-12T09:00:00-05:00"
    assert {v["id"] for v in client.get(f"{API}/visits").json()["visits"]} == {V, "made-on-phone"}


def test_facts_that_cannot_be_used_change_nothing(client: Any) -> None:
    before = client.get(f"{API}/visits/{V}").json()["toml"]
    refused = client.put(f"{API}/visits/{V}/facts", json={"toml": "[house\nname="})
    assert refused.status_code == 422
    assert refused.json()["error"]["where"].startswith("visit.toml")
    assert client.get(f"{API}/visits/{V}").json()["toml"] == before


PNG = b"\x89PNG\r\n\x1a\n" + b"\0" * 100
GOOD = announced(PNG)
REFUSED: dict[str, tuple[str, str, dict[str, Any], int]] = {
    "no such door": ("GET", f"{API}/nothing", {}, 404),
    "no such visit": ("GET", f"{API}/visits/nobody", {}, 404),
    "a path for a visit": ("GET", f"{API}/visits/..%2f..%2fetc", {}, 404),
    "out of the visit": ("GET", f"{API}/visits/{V}/files/photos/..%2f..%2f..%2fkingpost.db", {}, 404),
    "the facts are no file to show": ("GET", f"{API}/visits/{V}/files/visit.toml", {}, 404),
    "another method": ("DELETE", f"{API}/visits", {}, 405),
    "no JSON": ("POST", EVENTS, {"content": b"{"}, 400),
    "not UTF-8": ("POST", EVENTS, {"content": b'{"events": "\xff"}'}, 400),
    "a list": ("POST", EVENTS, {"content": b"[]"}, 400),
    "no events": ("POST", EVENTS, {"json": {"event": []}}, 400),
    "too many events": ("POST", EVENTS, {"json": {"events": [0] * 1001}}, 413),
    "too large": ("POST", EVENTS, {"content": b"x" * (9 << 20)}, 413),
    "a cursor that is none": ("GET", f"{EVENTS}?after=x", {}, 400),
    "a bad id": ("POST", f"{API}/visits", {"json": {"id": "../x"}}, 400),
    "facts of odd form": ("POST", f"{API}/visits", {"json": {"house": {"name": {"a": 1}}}}, 400),
    "no digest": ("GET", f"{API}/media/abc", {}, 404),
    "media that is not here": ("GET", f"{API}/media/{'0' * 64}", {}, 404),
    "digests that are none": ("POST", f"{API}/media/have", {"json": {"media": ["x"]}}, 400),
    "a check that is none": ("POST", f"{API}/check", {"json": {"check": "nonsense", "inputs": []}}, 422),
    "no check": ("POST", f"{API}/check", {"json": {}}, 400),
    "a token that is none": ("POST", f"{API}/pair", {"json": {"token": "x", "name": "phone"}}, 401),
    "an upload without tus": ("POST", f"{API}/uploads", {}, 412),
    "an upload without a digest": ("POST", f"{API}/uploads", {"headers": {**TUS, "Upload-Length": "5"}}, 400),
    "an empty upload": ("POST", f"{API}/uploads", {"headers": {**GOOD, "Upload-Length": "0"}}, 400),
    "too large an upload": ("POST", f"{API}/uploads", {"headers": {**GOOD, "Upload-Length": str(1 << 33)}}, 413),
    "bytes with the announcement": ("POST", f"{API}/uploads", {"headers": GOOD, "content": PNG}, 400),
    "an upload that is not here": ("PATCH", f"{API}/uploads/{'0' * 32}", {"headers": at_offset(0)}, 404),
    "an upload out of the folder": ("PATCH", f"{API}/uploads/..%2fkingpost.db", {"headers": at_offset(0)}, 405),
    "a page of another site": ("GET", f"{API}/visits", {"headers": {"Origin": "http://other.example"}}, 403),
    "another name for this machine": ("GET", f"{API}/visits", {"headers": {"Host": "other.example"}}, 403),
    "no file of the app": ("GET", "/nothing.js", {}, 404),
}


@pytest.mark.parametrize(("method", "path", "more", "status"), REFUSED.values(), ids=REFUSED)
def test_every_refusal_has_one_shape(client: Any, method: str, path: str, more: dict[str, Any], status: int) -> None:
    told = client.request(method, path, **more)
    assert told.status_code == status, told.text
    error = told.json()["error"]
    assert set(error) == {"code", "problem", "mend", "where"}
    assert error["code"] == CODES[status]
    assert error["problem"] and error["mend"]


def test_a_fault_of_ours_has_the_same_shape(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(client.app.state.desk.store, "visits", lambda: 1 / 0)
    told = client.get(f"{API}/visits")
    assert (told.status_code, told.json()["error"]["code"]) == (500, "fault")


def test_what_was_uploaded_does_not_run_in_the_page(client: Any) -> None:
    page = b"<html><script>alert(1)</script>"
    digest = upload(client, page, API, name="x.html", kind="text/html")
    told = client.get(f"{API}/media/{digest}")
    assert told.content == page
    assert told.headers["content-type"] == "application/octet-stream"
    assert "sandbox" in told.headers["content-security-policy"]


def test_checks_give_the_command_lines_answer(client: Any) -> None:
    from kingpost.judge import ask

    names = [c["name"] for c in client.get(f"{API}/checks").json()["checks"]]
    assert len(names) > 150
    told = client.post(f"{API}/check", json={"check": "stair-geometry", "inputs": ["riser_in=8.6in"]})
    assert told.status_code == 200, told.text
    assert told.json() == json.loads(ask.run("stair-geometry", ["riser_in=8.6in"]).as_json())
