"""The journal: the same bytes as a browser makes, the same fold whatever the order, and nothing lost to a bad line."""

from __future__ import annotations

import hashlib
import json
import shutil
import struct
import subprocess
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from kingpost.visit.errors import Troubles
from kingpost.visit.fold import fold
from kingpost.visit.journal import lines as read_lines
from kingpost.visit.journal import load, union
from kingpost.visit.journal_clock import after, seen, written
from kingpost.visit.journal_form import Event, NoEvent, canonical, digest, event, loads, number
from kingpost.visit.journal_writer import Writer

from .journals import NINE, lines, loose, scribble, write

DOCS = Path(__file__).parents[2] / "docs"

# RFC 8785, appendix B, "Number Serialization Samples": IEEE 754 bits (from memory; node below is the second witness)
RFC8785 = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
}


@pytest.mark.parametrize(("bits", "text"), RFC8785.items())
def test_numbers_are_written_as_rfc_8785_has_them(bits: str, text: str) -> None:
    assert number(struct.unpack(">d", bytes.fromhex(bits))[0]) == text


JS = """
const c = v => Array.isArray(v) ? '[' + v.map(c).join(',') + ']' : v && typeof v === 'object'
  ? '{' + Object.keys(v).sort().map(k => JSON.stringify(k) + ':' + c(v[k])).join(',') + '}' : JSON.stringify(v)
for (const line of require('fs').readFileSync(0, 'utf8').split('\\n')) if (line) console.log(c(JSON.parse(line)))
"""
FLAT = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text()
THINGS = st.recursive(FLAT, lambda s: st.lists(s, max_size=4) | st.dictionaries(st.text(), s, max_size=4), max_leaves=8)


@pytest.mark.skipif(shutil.which("node") is None, reason="no node here to compare with")
@settings(max_examples=4, suppress_health_check=list(HealthCheck))
@given(st.lists(THINGS, min_size=60, max_size=80))
def test_the_canonical_form_is_what_javascript_makes(things: list[Any]) -> None:
    sent = "\n".join(json.dumps(thing) for thing in things) + "\n"
    made = subprocess.run(["node", "-e", JS], input=sent, capture_output=True, text=True, check=True, timeout=60).stdout
    assert made.split("\n")[:-1] == [canonical(thing) for thing in things]


def test_the_example_of_the_docs_is_chained() -> None:
    text = (DOCS / "journal.md").read_text(encoding="utf-8")
    one, two = (event(loads(line)) for line in text.splitlines() if line.startswith('{"a'))
    assert two.prev == one.digest
    told = Troubles()
    assert fold(union([two, one])).trouble == () == told.all()


def test_every_kind_of_the_docs_is_known_and_every_known_kind_is_in_the_docs() -> None:
    from kingpost.visit.fold_kinds import NEEDS

    table = (DOCS / "journal.md").read_text(encoding="utf-8").partition("## Kinds")[2].partition("## Version 0")[0]
    said = {line.split("`")[1]: line for line in table.splitlines() if line.startswith("| `")}
    assert set(said) == set(NEEDS)
    for kind, needs in NEEDS.items():
        assert all(f"**{key}**" in said[kind] for key in needs), kind


def party(seed: int, events: int = 40) -> list[Event]:
    """Two devices that write, meet now and then, and whose clocks differ by an hour."""
    dice = Random(seed)
    pens = [Writer("aaaa0001"), Writer("bbbb0002")]
    ahead = [0, 3_600_000]
    out = [pen.write(NINE + ahead[i], "begin", name=f"device {i}") for i, pen in enumerate(pens)]
    now = NINE
    for _ in range(events):
        now += dice.choice((0, 1, 900, 60_000))
        i = dice.randrange(2)
        if dice.random() < 0.3:
            for e in out:
                pens[i].saw(e.hlc, now + ahead[i])
        out.append(scribble(pens[i], dice, now + ahead[i], out))
    return out


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.randoms(use_true_random=False))
def test_any_order_and_any_repeats_fold_to_the_same(seed: int, dice: Any) -> None:
    events = party(seed)
    shuffled = [*events, *dice.choices(events, k=20)]
    dice.shuffle(shuffled)
    cut = dice.randrange(len(shuffled))
    assert fold(union(shuffled[:cut], shuffled[cut:])) == fold(union(events))


@settings(max_examples=60)
@given(st.integers(0, 10_000), st.randoms(use_true_random=False))
def test_gaps_are_named_and_what_comes_later_mends_them(seed: int, dice: Any) -> None:
    events = party(seed)
    have = [e for e in events if dice.random() < 0.7]
    part = fold(union(have))
    missing = {e.device for e in events if e not in have and any(o.device == e.device and o.seq > e.seq for o in have)}
    said = " ".join(t.problem for t in part.trouble)
    assert all(f"of {device} " in said for device in missing)
    assert {e.digest for e in part.events} == {e.digest for e in have}
    assert fold(union(have, events)) == fold(union(events))


@settings(max_examples=30)
@given(st.integers(0, 1000))
def test_merging_is_idempotent_commutative_and_associative(seed: int) -> None:
    events = party(seed, 12)
    a, b, c = events[::3], events[1::3], events[2::3]
    assert union(a, a) == union(a)
    assert union(a, b) == union(b, a)
    assert union(union(a, b), c) == union(a, union(b, c)) == union(events)


def test_the_last_line_may_be_cut_at_any_byte(tmp_path: Path) -> None:
    pen = Writer("aaaa0001")
    events = [pen.write(NINE + i, "word", text=f"à la cave n° {i} “sill”", place="crawl space") for i in range(3)]
    whole = lines(events)
    path = tmp_path / "aaaa0001.jsonl"
    last = whole.rstrip(b"\n").rfind(b"\n") + 1
    for cut in range(last, len(whole) + 1):
        path.write_bytes(whole[:cut])
        told = Troubles()
        held = load([(path, "journal/aaaa0001.jsonl")], told).events
        assert held[:2] == tuple(events[:2]), cut
        complete = cut >= len(whole) - 1
        assert (len(held) == 3) == complete
        assert bool(told.all()) == (not complete and cut > last), cut
    # and a device that still has the event brings it back
    assert union(held[:2], events) == tuple(events)


def test_a_device_appends_after_its_cut_line(tmp_path: Path) -> None:
    """A crash left half a line; the writer ends it and goes on. The half line is named, everything else is there."""
    pen = Writer("aaaa0001")
    events = [pen.write(NINE + i, "word", text=f"word {i}") for i in range(3)]
    path = tmp_path / "aaaa0001.jsonl"
    path.write_bytes(lines(events)[:-30] + b"\n" + lines([pen.write(NINE + 9, "hold")]))
    told = Troubles()
    held = load([(path, "journal/aaaa0001.jsonl")], told).events
    assert [e.seq for e in held] == [1, 2, 4]
    assert len(told.all()) == 1
    assert any("aaaa0001 has not come (3 to 3)" in t.problem for t in fold(held).trouble)


def test_newest_by_hybrid_clock_wins_though_its_wall_clock_is_behind() -> None:
    """B's clock is an hour slow, but B had seen A's decision when it decided."""
    a, b = Writer("aaaa0001"), Writer("bbbb0002")
    first = a.write(NINE, "decision", subject="f0000000001", verb="accept")
    b.saw(first.hlc, NINE - 3_600_000)
    second = b.write(NINE - 3_600_000 + 5, "decision", subject="f0000000001", verb="set_aside", why="seen again")
    assert [d.verb for d in fold(union([second, first])).decisions] == ["accept", "set_aside"]


def test_a_clock_of_another_year_is_not_followed() -> None:
    assert seen(written(NINE), written(NINE + 10**12), NINE) == written(NINE)
    assert after(seen(written(NINE), written(NINE + 5000), NINE), NINE) == written(NINE + 5000, 1)


def test_an_edited_journal_is_named() -> None:
    pen = Writer("aaaa0001")
    events = [pen.write(NINE + i, "word", text=f"word {i}") for i in range(3)]
    changed = event({**events[1].whole, "text": "no such word"})
    told = [t.problem for t in fold(union([events[0], changed, events[2]])).trouble]
    assert told == ["aaaa0001.3 does not follow from the event before it"]


def test_a_fork_keeps_both_and_is_named() -> None:
    pen = Writer("aaaa0001")
    first = pen.write(NINE, "word", text="before the copy")
    copy = Writer("aaaa0001", pen.seq, pen.last, pen.clock)
    one, two = pen.write(NINE + 1, "word", text="here"), copy.write(NINE + 2, "word", text="there")
    folded = fold(union([first, one, two]))
    assert [n.body["text"] for n in folded.words] == ["before the copy", "here", "there"]
    assert [t.problem for t in folded.trouble] == ["aaaa0001.2 stands with 2 contents"]


def test_an_undo_takes_back_a_line_without_a_version() -> None:
    said = {"id": "d1", "subject": "f1", "verb": "set_aside", "at": "2026-05-12T09:00:00-05:00"}
    _, older = read_lines(json.dumps(said), "decisions.jsonl", "", Troubles())
    pen = Writer("aaaa0001")
    undo = pen.write(NINE + 1, "undo", event="d1")
    again = pen.write(NINE + 2, "undo", event=undo.id)
    assert [len(fold(union(e), older).decisions) for e in ([], [undo], [undo, again])] == [1, 0, 1]


def test_undo_takes_back_and_an_undo_can_be_undone() -> None:
    pen = Writer("aaaa0001")
    made = pen.write(NINE, "limit", text="attic", why="no hatch")
    undo = pen.write(NINE + 1, "undo", event=made.id)
    again = pen.write(NINE + 2, "undo", event=undo.id)
    assert [len(fold(union(e)).noted) for e in ([made], [made, undo], [made, undo, again])] == [1, 0, 1]


def test_clocks_set_right_by_the_newest_word_on_them() -> None:
    pen = Writer("aaaa0001")
    events = [pen.write(NINE + 3_600_000, "word", text="one"), pen.write(NINE + 3_600_001, "clock", ahead_s=3600)]
    assert fold(union(events)).words[0].at.timestamp() == NINE / 1000


def test_loops_open_and_close_across_devices() -> None:
    a, b = Writer("aaaa0001"), Writer("bbbb0002")
    opened = a.write(NINE, "open", thing="hall bath hot tap", place="hall bath", again_s=300)
    left = a.write(NINE + 1, "open", thing="attic light")
    b.saw(left.hlc, NINE + 2)
    closed = b.write(NINE + 60_000, "close", loop=opened.id)
    strange = b.write(NINE + 60_001, "close", loop="cccc0003.9")
    folded = fold(union([strange, closed, left, opened]))
    assert [(x.thing, x.put_back, x.closed is None) for x in folded.loops] == [
        ("hall bath hot tap", True, False), ("attic light", False, True)]  # fmt: skip
    assert "which was not opened here" in folded.trouble[0].problem


def test_a_recording_with_a_missing_piece_is_named_and_used() -> None:
    pen = Writer("aaaa0001")

    def piece(n: int, **more: Any) -> Event:
        return pen.write(NINE + 2000 * n, "audio", take="aaaa0001-1", piece=n, media=f"{n:064x}", bytes=9,
                         type="audio/webm;codecs=opus", start_s=2 * n, seconds=2.0, **more)  # fmt: skip

    pieces = [piece(0), piece(1), piece(2), piece(3, last=True)]
    whole = fold(union(pieces)).takes[0]
    assert (whole.file, whole.ended, whole.missing, whole.seconds) == ("walk/aaaa0001-1.webm", True, (), 8.0)
    part = fold(union([pieces[0], pieces[2], pieces[3]]))
    assert part.takes[0].missing == (1,)
    assert [n for n, _, _ in part.takes[0].pieces] == [0, 2, 3]
    assert any("1 of its pieces have not come" in t.problem for t in part.trouble)


def test_what_is_not_known_is_kept_and_named_once() -> None:
    pen = Writer("aaaa0001")
    new = [pen.write(NINE + i, "scan", cloud=[1, 2]) for i in range(3)]
    later = event({**pen.write(NINE + 9, "word", text="from the future", tone=0.5).whole, "v": 7})
    folded = fold(union([*new, later]))
    assert len(folded.events) == 4
    assert [n.body["text"] for n in folded.words] == ["from the future"]
    assert [t.problem for t in folded.trouble] == ['3 events of kind "scan", which this version does not know']


BAD = {
    "no version": ({"v": 0}, "v is not a version"),
    "true is no number": ({"seq": True}, "seq"),
    "another's id": ({"id": "bbbb0002.1"}, 'id is not "aaaa0001.1"'),
    "a path for a device": ({"device": "../../etc"}, "device"),
    "no zone": ({"at": "2026-05-12T09:00:00"}, "at is not a time with an offset"),
    "no clock": ({"hlc": "1778594400000-0"}, "hlc"),
    "half a letter": ({"text": "\ud83d"}, "half a character"),
    "too large": ({"text": "x" * 70_000}, "has 70,154 bytes"),
    "nested": ({"text": json.loads("[" * 40 + "]" * 40)}, "nested"),
    "too large a number": ({"n": 10**400}, "too large"),
}


@pytest.mark.parametrize(("change", "said"), BAD.values(), ids=BAD)
def test_what_is_no_event_says_why(change: dict[str, Any], said: str) -> None:
    good = Writer("aaaa0001").write(NINE, "word", text="good").whole
    with pytest.raises(NoEvent, match=said):
        event({**good, **change})


@given(st.text() | st.binary().map(lambda b: b.decode("latin-1")))
def test_noise_is_named_and_never_raises(text: str) -> None:
    told = Troubles()
    events, decisions = read_lines(text, "journal/x.jsonl", "x", told)
    assert not events and not decisions
    assert bool(told.all()) == any(line.strip() for line in text.replace("\r\n", "\n").split("\n"))


def test_the_digest_does_not_depend_on_how_it_is_written() -> None:
    made = Writer("aaaa0001").write(NINE, "reading", quantity="riser_height", value=8.0, unit="in")
    assert event(loads(loose(made))).digest == made.digest == digest(loads(loose(made)))
    assert canonical(made.whole).endswith(',"value":8}')


def test_old_lines_and_events_stand_in_one_file(tmp_path: Path) -> None:
    old = '{"id": "d1", "subject": "f0000000001", "verb": "accept", "at": "2026-05-12T08:00:00-05:00"}\n'
    new = Writer("aaaa0001").write(NINE, "decision", subject="f0000000001", verb="reword", title="split joist")
    path = tmp_path / "aaaa0001.jsonl"
    path.write_bytes(old.encode() + lines([new]))
    told = Troubles()
    held = load([(path, "journal/aaaa0001.jsonl")], told)
    assert [d.verb for d in fold(held.events, held.decisions).decisions] == ["accept", "reword"]
    assert told.all() == ()


def test_journals_become_walk_rows_and_times_of_a_visit(tmp_path: Path) -> None:
    from kingpost.visit import read
    from tests.conftest import HOUSE, jpeg

    (tmp_path / "visit.toml").write_text(HOUSE)
    pen = Writer("aaaa0001")
    picture = jpeg("")
    media = hashlib.sha256(picture).hexdigest()
    events = [
        pen.write(NINE, "begin", name="phone", who="Invented Person"),
        pen.write(NINE + 1000, "place", place="Attic"),
        pen.write(NINE + 2000, "word", text="no wind baffles at the east eave"),
        pen.write(NINE + 9000, "reading", quantity="riser_height", value=8.25, unit="in", place="stairs"),
        pen.write(NINE + 10_000, "photo", media=media, bytes=len(picture), type="image/jpeg", place="attic",
                  taken="2026-05-12T09:00:10-05:00"),
        pen.write(NINE + 11_000, "photo", media="0" * 64, bytes=5, type="image/jpeg"),
    ]  # fmt: skip
    write(tmp_path, events)
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / f"{media[:16]}.jpg").write_bytes(picture)
    visit = read(tmp_path)
    assert [(w.source, [c.text for c in w.cues]) for w in visit.walks] == [
        ("journal/aaaa0001.jsonl", ["Attic.", "no wind baffles at the east eave"])]  # fmt: skip
    assert visit.walks[0].cues[1].speaker == "Invented Person"
    assert [(r.quantity, r.value, r.time, r.place, r.line) for r in visit.rows] == [
        ("riser_height", 8.25, 9.0, "stairs", 4)]  # fmt: skip
    assert (visit.photos[0].seconds, visit.photos[0].time_from) == (10.0, "given")
    assert [(d.subject, d.verb, d.fields) for d in visit.decisions] == [
        (visit.photos[0].id, "move", {"place": "attic"})]  # fmt: skip
    assert [t.problem for t in visit.trouble] == [
        "the picture photos/0000000000000000.jpg has not come, or cannot be used"]  # fmt: skip
