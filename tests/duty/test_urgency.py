"""Adding a worse fact never lowers urgency: a fault told again, as a fault or as a danger to people."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from kingpost.judge.findings import finding, menders, merge
from kingpost.listen.hear import Draft
from kingpost.trade.load import trade
from kingpost.trade.model import STANDINGS, WHENS
from kingpost.visit.record import Finding

TRADE = trade()
CONDITIONS = sorted(TRADE.conditions)


def draft(condition: str, start: float, standing: str, people: bool) -> Draft:
    c = TRADE.conditions[condition]
    return Draft(
        *(condition, c.component, c.fault, "attic", "attic", 2.0, (f"r{start:g}",), start, start + 2, "walk/a.vtt"),
        *("it is so", standing, people),
    )


def one(drafts: list[Draft]) -> Finding:
    groups = list(merge(drafts, TRADE))
    assert len(groups) == 1
    return finding(groups[0], TRADE, [], menders(TRADE))


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(CONDITIONS),
    st.lists(st.tuples(st.sampled_from(["", *STANDINGS]), st.booleans()), min_size=1, max_size=4),
    st.sampled_from([("deficiency", False), ("", True), ("deficiency", True)]),
)
def test_a_worse_fact_never_lowers_urgency(
    condition: str, said: list[tuple[str, bool]], worse: tuple[str, bool]
) -> None:
    told = [draft(condition, 10.0 * n, standing, people) for n, (standing, people) in enumerate(said, 1)]
    before, after = one(told), one([*told, draft(condition, 900.0, *worse)])
    assert WHENS.index(after.when) <= WHENS.index(before.when)
    assert STANDINGS.index(after.standing) <= STANDINGS.index(before.standing)
    assert set(before.at_stake) <= set(after.at_stake)
