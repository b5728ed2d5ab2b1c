"""The frame of the checks: data and logic agree, bad input is refused in one sentence, sets and lists, wording."""

from __future__ import annotations

import ast
import json
import re
from datetime import date
from pathlib import Path

import pytest

import kingpost.judge.checks
from kingpost.judge import ask
from kingpost.judge.docs import page
from kingpost.judge.registry import registry
from kingpost.judge.values import AskError
from kingpost.trade.checks import checks, load_checks, phrases
from kingpost.trade.law import Adoption, Jurisdiction, Law, law, load_law
from kingpost.trade.load import trade
from kingpost.trade.reading import TradeError

ROOT = Path(__file__).parents[2]


def test_every_check_has_logic_and_every_logic_a_spec() -> None:
    assert set(registry()) == set(checks())


def test_every_provision_is_used_by_a_check() -> None:
    used = {p for s in checks().values() for p in s.provisions}
    assert set(law().provisions) - used == set()


def test_what_the_checks_name_of_the_trade_is_there() -> None:
    known = trade()
    named = {s.condition for s in checks().values()} | {t.condition for s in checks().values() for t in s.stateds}
    assert named - {""} - set(known.conditions) == set()
    inputs = [i for s in checks().values() for i in s.inputs]
    assert {c for i in inputs for c in (*i.components, *i.component_as)} - set(known.components) == set()
    assert {p for i in inputs for p in i.places} - set(known.places) == set()
    assert {s.system for s in checks().values()} - set(known.systems) == set()


def test_no_limit_stands_in_the_logic() -> None:
    found = []
    for path in sorted(Path(next(iter(kingpost.judge.checks.__path__))).glob("*.py")):
        for node in ast.walk(ast.parse(path.read_text())):
            if (
                isinstance(node, ast.Constant)
                and isinstance(node.value, (int, float))
                and node.value not in (0, 1, 100)
            ):
                found.append(f"{path.name}:{node.lineno}: {node.value}")
    assert found == []


def test_the_page_of_the_checks_is_fresh() -> None:
    told = "run python -m kingpost.judge.docs"
    assert (ROOT / "docs/checks.md").read_text(encoding="utf-8") == page(ROOT), told


@pytest.mark.parametrize("name", sorted(checks()))
def test_nothing_given_is_answered_with_what_to_ask(name: str) -> None:
    told = json.loads(ask.run(name, []).as_json())
    assert told["verdict"] == "cannot_tell"
    assert told["missing"] and set(told["questions"]) == set(told["missing"])
    assert "…" not in told["says"]


BARRED = (
    r"(?i)\b(safe|safely|appears?|immediate(ly)?|urgent|major|minor|qualified professional|evaluate|monitor|"
    r"violat\w+|illegal)\b"
)


def _sentences() -> list[tuple[str, str]]:
    found = [(f"phrase {k}", t) for k, t in phrases().items()]
    for name, spec in checks().items():
        found += [(f"{name} {k}", str(t)) for k, t in spec.tell.items() if k not in ("sum", "required")]
        found += [(f"{name} caution", spec.caution)] if spec.caution else []
        found += [(f"{name} {i.name}", i.ask) for i in spec.inputs]
    return found


@pytest.mark.parametrize(("where", "text"), _sentences(), ids=[w for w, _ in _sentences()])
def test_wording(where: str, text: str) -> None:
    assert not re.search(BARRED, text), where
    plain = re.sub(r"\{[^}]*\}", "8", text)
    if len(plain.split()) > 12:
        assert _grade(plain) <= 9.0, where  # a single sentence swings by one


def _grade(text: str) -> float:
    """Flesch and Kincaid's grade, syllables by groups of vowels; good to about one grade on so few words."""
    sentences = max(1, len(re.findall(r"[.!?](?:\s|$)", text)))
    words = re.findall(r"[A-Za-z0-9'-]+", text)
    syllables = sum(max(1, len(re.findall(r"[aeiouy]+", w.lower().removesuffix("e")))) for w in words)
    return 0.39 * len(words) / sentences + 11.8 * syllables / len(words) - 15.59


@pytest.mark.parametrize(
    ("pairs", "told"),
    [
        (["height=nan"], 'height_in: "nan" is not a number; write it like 8.25in or 8 1/4in'),
        (["height=4psi"], "height_in: psi cannot be given in in; write the value in in"),
        (["height=-4"], "height_in is -4 in; write 0 to 240 in"),
        (["height=9000in"], "height_in is 9,000 in; write 0 to 240 in"),
        (["heigt=3"], 'plumbing-vent-height takes no "heigt"; did you mean height_in?'),
        (["height"], '"height" is not name=value; write it like height=4.0in'),
        (["roof_used=perhaps"], 'roof_used is "perhaps"; write yes or no'),
        (["built=old"], 'built is "old"; write a year, like 1964'),
        (["u_height_in=1"], "height_in has an uncertainty and no value; give height_in=... too"),
        (["height=4", "u_height=-1"], 'plumbing-vent-height takes no "u_height"; did you mean height_in?'),
        (["height=4", "u_height_in=-1"], 'u_height_in: "0 +- -1" has a negative uncertainty; write +-1'),
    ],
)
def test_bad_input_is_refused_in_one_sentence(pairs: list[str], told: str) -> None:
    with pytest.raises(AskError) as refused:
        ask.run("plumbing-vent-height", pairs)
    assert str(refused.value) == told


def test_an_unknown_check_names_the_nearest() -> None:
    with pytest.raises(AskError, match='check "plumbing-vent" is not known; did you mean plumbing-vent-height'):
        ask.run("plumbing-vent", [])


def test_an_unknown_jurisdiction_lists_those_known() -> None:
    with pytest.raises(AskError, match=r'jurisdiction "us-zz" is not known; write one of .*, or leave it out'):
        ask.run("plumbing-vent-height", ["height=4", "jurisdiction=us-zz"])


def test_the_listing_names_every_check() -> None:
    assert all(name in ask.listing() for name in registry())


def test_a_number_without_uncertainty_is_exact_and_it_is_said_where_that_decides() -> None:
    answer = ask.run("plumbing-vent-height", ["height=5.9in"])
    assert answer.check.verdict == "falls_short"
    assert "taken as     exact; with the usual tools it would be: cannot tell" in answer.text()
    assert ask.run("plumbing-vent-height", ["height=4in+-0.25in"]).usual is None


def test_a_list_runs_value_by_value_and_the_worst_decides() -> None:
    told = json.loads(ask.run("plumbing-vent-height", ["height=[4, 6.1, 12]", "u_height_in=0.25"]).as_json())
    assert told["computed"]["verdicts"] == ["falls_short", "cannot_tell", "meets"]
    assert told["verdict"] == "falls_short"


def test_candidates_decide_only_where_they_agree() -> None:
    both = ask.run("breaker-vs-conductor", ["breaker=40", "size=8|10", "material=Cu"])
    assert (both.check.verdict, both.check.missing) == ("cannot_tell", ("size_awg",))
    assert ask.run("breaker-vs-conductor", ["breaker=60", "size=8|10", "material=Cu"]).check.verdict == "falls_short"


def test_the_answer_has_all_that_the_contract_lists() -> None:
    told = json.loads(ask.run("plumbing-vent-height", ["height=4.0in+-0.1in", "built=1964"]).as_json())
    for key in (
        "check", "inputs", "computed", "required", "verdict", "probability", "standing", "in_force_when_built",
        "sources", "says", "caution", "missing",
    ):  # fmt: skip
        assert key in told
    assert told["inputs"] == {"height_in": 4.0, "u_height_in": 0.1}
    assert told["sources"][0]["basis"] == "published"


# ---------------------------------------------------------------- the law by date and place


def _with(jurisdiction: Jurisdiction) -> Law:
    known = law()
    return Law(
        known.families, known.editions, known.provisions, {**known.jurisdictions, jurisdiction.id: jurisdiction},
        known.instruments, known.sources, known.quantities,
    )  # fmt: skip


def _adopting(complete: tuple[str, ...]) -> Law:
    days = (
        Adoption("nec-1978", date(1981, 7, 1), "gfci-history"),
        Adoption("nec-1987", date(1990, 1, 1), "gfci-history"),
    )
    return _with(Jurisdiction("us-test", "Nowhere", complete=complete, adoptions=days))


@pytest.mark.parametrize(
    ("year", "complete", "in_force"),
    [
        (1974, ("nec",), "no"),  # before the edition was printed
        (1980, ("nec",), "no"),  # printed, and surely not yet law here
        (1980, (), "unknown"),  # an earlier adoption may be missing from the list
        (1981, ("nec",), "unknown"),  # the year of the change itself
        (1982, ("nec",), "yes"),
    ],
)
def test_a_known_adoption_beats_the_usual_lag(year: int, complete: tuple[str, ...], in_force: str) -> None:
    assert _adopting(complete).select("gfci_bathroom", year, "us-test").in_force == in_force


@pytest.mark.parametrize(("year", "in_force"), [(1974, "no"), (1975, "unknown"), (1978, "unknown"), (1979, "yes")])
def test_without_adoption_dates_four_years_of_the_electrical_code_are_uncertain(year: int, in_force: str) -> None:
    assert law().select("gfci_bathroom", year).in_force == in_force


def test_an_unknown_year_is_an_answer() -> None:
    assert law().select("gfci_bathroom", None).in_force == "unknown"


def test_a_regional_code_is_never_taken_as_adopted() -> None:
    found = law().select("guard_opening", 1986)
    assert found.then is None and len(found.maybe) == 2


# ---------------------------------------------------------------- faults in a firm's own files


def _firm(tmp_path: Path, **files: str) -> Path:
    for name, text in files.items():
        path = tmp_path / name.replace("__", "/")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.with_suffix(".toml").write_text(text)
    return tmp_path


def test_every_fault_of_every_file_is_told_at_once(tmp_path: Path) -> None:
    firm = _firm(
        tmp_path,
        provisions__mine='[[provision]]\nid = "mine"\ntitle = "T"\nbefore = "never"\nverified = 2026-01-01\n\n'
        '[[provision.rule]]\nedition = "irc-2000"\nrequired = 1\nsorce = "x"\n',
        families="[[family]]\nid = 3\n",
    )
    with pytest.raises(TradeError) as told:
        load_law(firm)
    text = str(told.value)
    assert 'provisions/mine.toml:4: before "never" is not known; write one of no_rule, not_researched' in text
    assert 'provisions/mine.toml:10: unknown key "sorce"' in text
    assert "families.toml:2: id is 3; write text" in text


def test_what_is_cited_has_to_be_there(tmp_path: Path) -> None:
    firm = _firm(
        tmp_path,
        provisions__mine='[[provision]]\nid = "mine"\ntitle = "T"\nbefore = "no_rule"\nverified = 2026-01-01\n\n'
        '[[provision.rule]]\nedition = "irc-2000"\nrequired = 1\nsource = "nowhere"\n\n'
        '[[provision.rule]]\nedition = "irc-1900"\nrequired = 1\nsource = "irc-r401-3"\n',
    )
    with pytest.raises(TradeError) as told:
        load_law(firm)
    assert 'provisions/mine.toml:1: provision "mine": source "nowhere" is not known; add it under sources/' in str(
        told.value
    )
    assert 'edition "irc-1900" is not known; add it to editions.toml' in str(told.value)


def test_a_firm_may_ask_for_more(tmp_path: Path) -> None:
    firm = _firm(
        tmp_path,
        provisions__vent='[[provision]]\nid = "plumbing_vent_height"\ntitle = "T"\nbefore = "no_rule"\n'
        'verified = 2026-01-01\n\n[[provision.rule]]\nedition = "irc-2000"\n'
        'required = { min_above_roof_in = 12, min_above_used_roof_in = 84 }\nsource = "irc-p3103-height"\n',
    )
    assert ask.run("plumbing-vent-height", ["height=8in"], firm).check.verdict == "falls_short"
    assert ask.run("plumbing-vent-height", ["height=8in"]).check.verdict == "meets"


def test_a_check_that_names_what_is_not_there_is_refused(tmp_path: Path) -> None:
    firm = _firm(
        tmp_path,
        checks__mine='[[check]]\nid = "mine"\ntitle = "T"\nsystem = "roof"\nsays = "s"\nprovisions = ["gone"]\n\n'
        '[[check.input]]\nname = "a_in"\nunit = "cubit"\nask = "?"\nquantity = ["gone"]\n',
    )
    with pytest.raises(TradeError) as told:
        load_checks(law(), firm)
    assert 'checks/mine.toml:1: check "mine": provision "gone" is not known; add it under provisions/' in str(
        told.value
    )
    assert 'check "mine": unit "cubit" of a_in is not known' in str(told.value)
    assert 'check "mine": quantity "gone" is not known; add it to quantities.toml' in str(told.value)
