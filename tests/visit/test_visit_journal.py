"""Decisions: merging is a union, in any order, with repeats and gaps; a bad line costs that line only."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kingpost.visit import merge, read
from kingpost.visit.facts import Decision
from kingpost.visit.journal import VERBS
from tests.conftest import MakeVisit

GOOD: dict[str, Any] = {"id": "d1", "subject": "f3", "verb": "accept", "at": "2026-05-12T18:03:00-05:00"}


def line(**changes: Any) -> str:
    return json.dumps({k: v for k, v in {**GOOD, **changes}.items() if v is not None})


def test_decisions_and_journals_are_one_record(make_visit: MakeVisit) -> None:
    reworded, earlier = line(verb="reword", title="The pier leans"), line(id="d0", at="2026-05-12T17:00:00-05:00")
    files = {"decisions.jsonl": f"{reworded}\n\n", "journal/phone.jsonl": f"{earlier}\r\n{reworded}"}
    visit = read(make_visit(files))
    assert [(d.id, d.verb, d.device) for d in visit.decisions] == [("d0", "accept", "phone"), ("d1", "reword", "phone")]
    assert visit.decisions[1].fields == {"title": "The pier leans"}
    assert visit.trouble == ()


def test_no_decisions_and_an_empty_file_are_no_trouble(make_visit: MakeVisit) -> None:
    folder = make_visit({})
    (folder / "decisions.jsonl").touch()
    visit = read(folder)
    assert visit.decisions == ()
    assert visit.trouble == ()


BAD = {
    "not JSON": ("{", "is not a line of JSON"),
    "not an object": ("[1]", "is not a JSON object"),
    "no id": (line(id=None), "has no id"),
    "id is a number": (line(id=7), "has no id"),
    "no subject": (line(subject=" "), "has no subject"),
    "no verb": (line(verb=None), "has no verb"),
    "no such verb": (line(verb="agree"), 'verb "agree" is not one of accept, reword,'),
    "no time": (line(at=None), "has no at"),
    "not a time": (line(at="noon"), 'at "noon" is not a time such as 2026-05-12T18:03:00-05:00'),
    "beyond time": (line(at="0001-01-01T00:00:00+23:00"), 'at "0001-01-01T00:00:00+23:00" is not a time'),
    "no number": ('{"id": NaN}', "is not a line of JSON"),
    "half a character": ('{"id": "\\ud800"}', "holds half a character"),
    "nested": ("[" * 100_000, "is not a line of JSON"),
}


@pytest.mark.parametrize(("text", "said"), BAD.values(), ids=BAD)
def test_a_bad_line_is_named_and_costs_only_itself(make_visit: MakeVisit, text: str, said: str) -> None:
    visit = read(make_visit({"decisions.jsonl": f"{line(id='d0')}\n{text}\n{line(id='d2')}\n"}))
    assert [d.id for d in visit.decisions] == ["d0", "d2"]
    assert [str(t) for t in visit.trouble if str(t).startswith(f"decisions.jsonl:2: {said}")], visit.trouble


def test_one_id_with_two_contents_is_named_and_the_later_one_counts(make_visit: MakeVisit) -> None:
    later = line(verb="set_aside", at="2026-05-12T19:00:00-05:00")
    visit = read(make_visit({"journal/b.jsonl": line(), "journal/a.jsonl": later}))
    assert [d.verb for d in visit.decisions] == ["set_aside"]
    assert [str(t) for t in visit.trouble] == [
        'journal/b.jsonl:1: id "d1" also stands at journal/a.jsonl:1 with other content; the later one counts; '
        "give each decision its own id"
    ]


decision = st.builds(
    Decision,
    id=st.sampled_from([f"d{n}" for n in range(6)]),
    subject=st.sampled_from(["f1", "f2"]),
    verb=st.sampled_from(VERBS),
    at=st.sampled_from(
        ["2026-05-12T18:00:00-05:00", "2026-05-12T23:00:00+00:00", "2026-05-12T19:00:00", "2026-05-13T08:00:00Z"]
    ),
    fields=st.dictionaries(st.sampled_from(["title", "place"]), st.text(max_size=3), max_size=2),
    device=st.sampled_from(["a", "b"]),
)
journals = st.lists(st.lists(decision, max_size=8), max_size=4)


@given(journals, st.randoms(use_true_random=False))
def test_merging_is_the_same_in_any_order_with_repeats(files: list[list[Decision]], rng: Any) -> None:
    whole = merge(*files)
    shuffled = [rng.sample(file, len(file)) for file in rng.sample(files, len(files))]
    assert merge(*shuffled) == whole
    assert merge(*shuffled, *files, whole) == whole
    assert merge(merge(*files[:1]), merge(*files[1:])) == whole


@given(journals)
def test_merging_loses_no_id_and_orders_by_the_instant(files: list[list[Decision]]) -> None:
    whole = merge(*files)
    assert {d.id for d in whole} == {d.id for file in files for d in file}
    assert len({d.id for d in whole}) == len(whole)
    assert set(map(repr, whole)) <= {repr(d) for file in files for d in file}
    order = {"2026-05-12T19:00:00": 0, "2026-05-12T18:00:00-05:00": 1, "2026-05-12T23:00:00+00:00": 1}
    keys = [(order.get(d.at, 2), d.id) for d in whole]
    assert keys == sorted(keys)


@given(journals)
def test_a_gap_changes_nothing_else(files: list[list[Decision]]) -> None:
    """A device that has not yet sent its journal takes nothing from the others."""
    ids = {d.id for file in files[:-1] for d in file} - {d.id for file in files[-1:] for d in file}
    assert [d for d in merge(*files) if d.id in ids] == [d for d in merge(*files[:-1]) if d.id in ids]
