"""The folder follows the database: event by event, with what a person wrote into a journal's file beside it."""

from __future__ import annotations

from pathlib import Path
from random import Random

from kingpost.desk.layout import lay_out
from kingpost.desk.store import MOST_READ, Store
from kingpost.visit.journal_writer import Writer
from tests.visit.journals import NINE, scribble


def test_what_is_read_once_is_what_is_there(tmp_path: Path) -> None:
    """More visits than are held as read, events in turns: always the same as reading all anew."""
    store, dice = Store(tmp_path), Random(1964)
    pens = {f"v{n}": Writer(f"device{n:04d}") for n in range(MOST_READ + 2)}
    for visit in pens:
        store.add_visit(visit, "invented")
    for turn in range(60):
        visit = dice.choice(list(pens))
        store.take(visit, [scribble(pens[visit], dice, NINE + turn * 1000) for _ in range(dice.randrange(3))])
        looked = dice.choice(list(pens))
        assert store.every(looked) == [e for _, e in store.events(looked)]
    store.close()


def test_a_journal_grows_and_keeps_a_strange_line(tmp_path: Path) -> None:
    store, pen, dice = Store(tmp_path), Writer("aaaa0001"), Random(7)
    store.add_visit("v", "invented")
    file = store.folder("v") / "journal" / "aaaa0001.jsonl"
    for n in range(3):
        store.take("v", [scribble(pen, dice, NINE + n * 1000)])
        lay_out(store, "v")
        assert file.read_text().splitlines() == store.lines("v")["aaaa0001"]
    file.write_text("a note by hand\n" + file.read_text())
    store.take("v", [scribble(pen, dice, NINE + 9000)])
    lay_out(store, "v")
    assert file.read_text().splitlines() == ["a note by hand", *store.lines("v")["aaaa0001"]]
    cut = file.read_bytes()[len("a note by hand\n") : -5]  # the last line as a machine without power leaves it
    file.write_bytes(cut)
    lay_out(store, "v")
    assert file.read_text().splitlines() == store.lines("v")["aaaa0001"]
    store.close()
