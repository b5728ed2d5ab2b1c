"""`kingpost preflight`: what is still open before the report is delivered."""

from __future__ import annotations

import argparse
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING, Any

from .base import BLOCKED, GOOD, Steps, command, inspected, print_json, trade_folders, trade_option, visit_of

if TYPE_CHECKING:
    from kingpost.trade.duties import MatterKind
    from kingpost.visit.owed import Matter, Owed, SafetyCard

WALKED = ("gap", "unverified_gap", "there")  # kinds that are closed by walking there
SHOWN, WIDTH = 12, 118  # lines of one kind that are shown; characters of a line


def add(commands: Any) -> None:
    parser = command(commands, "preflight", run, "list what is still open before the report is delivered")
    parser.add_argument("visit", metavar="VISIT", type=Path, help="the visit folder")
    parser.add_argument("--all", action="store_true", help="every line of every kind, with how each is mended")
    parser.add_argument("--cards", action="store_true", help="also the go or no-go cards")
    parser.add_argument("--json", action="store_true", help="print everything as one JSON object and nothing else")
    trade_option(parser)


def run(args: argparse.Namespace, step: Steps) -> int:
    from kingpost.duty.preflight import asking, blocking
    from kingpost.trade.duties import duties
    from kingpost.visit.record import plain

    visit = visit_of(args.visit, step, args.trade)
    record = inspected(visit, args.trade, step)
    step.clear()
    whole = record.owed
    blocks, asks = blocking(whole), asking(whole)
    code = BLOCKED if blocks else GOOD
    if args.json:
        print_json(
            {
                "ok": not blocks,
                "blocks": len(blocks),
                "asks": len(asks),
                **plain(whole),
                "trouble": plain(record.trouble),
            }
        )
        return code
    kinds = duties(*trade_folders(visit, args.trade)).kinds
    for head, found in (("Blocks delivery", blocks), ("Asked; blocks nothing", asks)):
        print(*_part(head, found, kinds, args.all), sep="\n")
    if args.cards:
        print(*(part for card in whole.safety for line in _card(card) for part in _wrapped(line)), sep="\n")
    print(*_tail(whole, len(blocks), len(asks), args), sep="\n")
    return code


def _part(head: str, found: list[Matter], kinds: dict[str, MatterKind], every: bool) -> list[str]:
    if not found:
        return []
    out = [f"{head} ({len(found)})"]
    for kind, group in groupby(found, key=lambda m: m.kind):
        mine = list(group)
        walked = not every and kind in WALKED
        lines = _by_place(mine) if walked else _lines(mine, every)
        places = len({m.place for m in mine})
        count = f"{len(mine)} in {places} places" if walked and places > 1 else f"{len(mine)}"
        out.append(f"  {kinds[kind].name} ({count})")
        shown = lines if every or walked else lines[:SHOWN]
        out += [f"    {line}" for line in shown]
        if len(lines) > len(shown):
            out.append(f"    ... and {len(lines) - len(shown)} more; --all shows them")
    return [*out, ""]


def _by_place(found: list[Matter]) -> list[str]:
    """What is missing, one entry a place in the order of the shortest way, one verb with all that it is about."""
    from kingpost.duty.ledger import VERBS

    out = []
    for place, group in groupby(found, key=lambda m: m.place):
        by_verb: dict[str, list[str]] = {}
        for m in group:
            says = m.says.split(". ")[0].rstrip(".?")
            verb = next((v for v in VERBS if says.startswith(f"{v} ")), "")
            by_verb.setdefault(verb, []).append(_short(says.removeprefix(verb).strip()))
        parts = (f"{verb} {', '.join(dict.fromkeys(what))}".strip() for verb, what in by_verb.items())
        out.append(f"{place}: {'; '.join(parts)}")
    return [line for text in out for line in _wrapped(text)]


def _short(what: str) -> str:
    """ "one of the lights, fans and switches" -> "lights/fans/switches"; of three ways to say it the first."""
    first, *others = what.removeprefix("one of the ").removesuffix(" in the room").split(" or ")
    whole = first if len(others) > 1 else " or ".join((first, *others))
    return whole.replace(", ", "/").replace(" and ", "/")


def _lines(found: list[Matter], every: bool) -> list[str]:
    out = []
    for m in found:
        cite = f" [{m.clause}]" if m.clause else " [unverified]" if m.unverified else ""
        where = f"{m.place}: " if m.place else ""
        text = f"{where}{m.says}{cite}"
        out += _wrapped(text) if every else [text if len(text) <= WIDTH else text[: WIDTH - 4].rstrip() + " ..."]
        if every:
            out += _wrapped(f"  {m.id}: {m.mend}")
    return out


def _wrapped(text: str) -> list[str]:
    import textwrap

    inner = " " * (len(text) - len(text.lstrip()) + 2)
    return textwrap.wrap(text, WIDTH, subsequent_indent=inner) or [""]


def _card(card: SafetyCard) -> list[str]:
    out = [f"Before {card.name}: {card.says}"]
    out += [f"    {r.says} ({r.source or 'clause from memory, unverified'}; {r.basis})" for r in card.reasons]
    out += [f"    not noted: {', '.join(card.not_known)}"] if card.not_known else []
    return [*out, f"    tell somebody outside; they ask after {card.minutes:g} min; way out: {card.out}", ""]


def _tail(whole: Owed, blocks: int, asks: int, args: argparse.Namespace) -> list[str]:
    answered = sum(bool(m.answer) for m in whole.matters)
    told = [f"{blocks} block, {asks} asked, {answered} answered"]
    told += [f"{name}: " + ", ".join(f"{n} {what}" for what, n in of.items()) for name, of in whole.fates.items() if of]
    if blocks and not args.all:
        told.append("--all says how each is mended; an answer with a reason in decisions.jsonl quiets one for good")
    return told
