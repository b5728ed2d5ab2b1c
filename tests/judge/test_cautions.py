"""Where the work can hurt, the usual caution stands beside the check; and a smell of gas stops every gas check."""

from __future__ import annotations

import json

import pytest

from kingpost.judge import ask
from kingpost.trade.checks import checks

GAS = [s.id for s in checks().values() if s.system == "gas"]
WARNED = ("roof", "electrical", "underfloor", "gas", "chimney")  # ladder, panel, crawl space, burner


@pytest.mark.parametrize("name", GAS)
def test_a_gas_check_says_what_to_do_where_gas_is_smelled(name: str) -> None:
    assert "smell gas" in checks()[name].caution and "leave" in checks()[name].caution.lower()


@pytest.mark.parametrize("name", GAS)
def test_a_smell_of_gas_is_the_only_answer(name: str) -> None:
    told = json.loads(ask.run(name, ["gas_smell=yes"]).as_json())
    assert (told["verdict"], told["computed"], told["missing"]) == ("cannot_tell", {}, [])
    assert told["says"].startswith("Gas is smelled.") and "call the gas supplier" in told["says"]


def test_work_that_can_hurt_has_its_caution() -> None:
    bare = {s.id for s in checks().values() if s.system in WARNED and not s.caution}
    assert bare == {"downspout-outlet-distance"}, "add the usual caution"  # read on the ground, at the wall


def test_no_caution_says_that_something_is_safe() -> None:
    assert [s.id for s in checks().values() if " safe" in f" {s.caution.lower()}"] == []
