"""docs/standards.md from the data: each clause and where it lives, what was read and what is from memory.

Run as `python -m kingpost.duty.docs`; a test fails where the file is not fresh.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

from kingpost.trade.standards import Clause, Standard, Standards, standards

HEAD = """# Standards of practice

Made by `python -m kingpost.duty.docs` from `src/kingpost/trade/data/standards`; do not edit.

State law on home inspections, cut into single duties in our own words. The citation points to the law, which governs.
This is not legal advice, and no file is complete. A clause is **text** where some copy of it was read, **memory** where
none was found. A memory clause is shown to the inspector as unverified and is never cited to a client.

What is still from memory was looked for again on 2026-11-29 in a stored copy of the public web: the sections of 22 TAC
535.227 to 535.232 by number and title, phrases from the middle of each, 11 NCAC 08 .1104, .1105(b) and .1109(d), WAC
308-408C-100 and -110, seventeen searches and a few exact strings. A page is stored by its first 2,000 characters; those
had been read before, and of the middle of a rule only 535.227's turned up, read before too. Nothing could be upgraded.

## What applies
`[visit] standards` in visit.toml names standards by id (`us-nc-11ncac08-1100`) or by jurisdiction (`us-nc`); several
may apply at once. Where it names none, the one of `[house] jurisdiction` applies. A firm's own list lies over them.

## A firm's own list
Put the same files into `standards/` of the firm's trade folder (`--trade DIR`, or `trade/` of a visit). An entry with
the same key or id replaces ours.

```toml
# standards/laws.toml
[[standard]]
id = "our-firm"
title = "Our own rules"
adds = true                     # lies over whatever law applies

# standards/clauses/our-firm.toml
[[clause]]
key = "firm.windows"
standard = "our-firm"
system = "interior"
about = "every window"
duty = "operate"
says = "Open, close and lock every window."
home = "house"
parts = ["windows"]
per = "room"
needs = "window"
amount = "every"
counts = "window"
words = "opened_closed"
basis = "firm"
[[clause]]
key = "firm.twice"
standard = "our-firm"
system = "interior"
about = "second pass"
duty = "second_pass"
says = "Go through every room a second time before leaving."
home = "house"
per = "room"
basis = "firm"
```

## Fields of a clause
| field | meaning |
|---|---|
| `home` | where the duty is met, see below |
| `parts`, `all_parts` | groups of components (`parts.toml`); one of them will do, or each by itself |
| `spread`, `also` | parts counted otherwise than `per`; levels where it has to show beside (`grounds`: outdoors) |
| `places`, `per` | where the looking has to be; once for the house, or in each room, side or level |
| `needs` | only rooms and sides that have it: by the counts of visit.toml, else as such rooms do (`rooms.toml`) |
| `amount`, `counts` | `some` at least one; `sample` a representative number; `every` all that `counts` counts |
| `words` | a wording (`wordings.toml`) without which the duty does not show as done |
| `quantities`, `fact` | a reading, or a key of `[house]`, that shows it |
| `when` | falls due only when this shows, so that silence is no gap |
| `only_if`, `instead_of` | the law's own condition; only where that clause is not done |
| `notice` | words that the law wants printed as they are; the report prints them |
| `states`, `states_with` | what the report must state, in our words; only where one of these conditions was found |
| `reason`, `measure` | the code of a lawful ground; a number that the law states |
| `basis`, `seen`, `older_text` | text, memory or firm; what kind of copy was read |

Homes: `house` something to look at; `agreed` only where the client asked for it; `exempts` a lawful ground for leaving
something out; `report`, `agreement` and `practice` are not about the house.

A representative number is counted as the law words it. Where the law gives no number (every file here), we count one in
each room and one on each side outside: common practice. `sample = "level"` or `"house"` in a standard changes that.
"""


def _where(c: Clause, known: Standards) -> str:
    if c.home == "exempts":
        about = ", ".join(known.parts[p].name for p in c.parts) or "anything"
        return f"exempts {about}: {known.reasons[c.reason].name}"
    if c.home in ("report", "agreement", "practice"):
        return f"not about the house: {c.home}"
    names = [known.parts[p].name + (f" (each {c.spread[p]})" if p in c.spread else "") for p in c.parts]
    what = (" and " if c.all_parts else " or ").join(names)
    extent = "" if c.per == "house" else f", each {c.per}" + (f" with {c.needs.replace('_', ' ')}" if c.needs else "")
    much = {"some": "", "sample": ", a representative number", "every": ", every one"}[c.amount]
    much += "".join(f", and on the {level}" for level in c.also)
    place = f" ({', '.join(c.places)})" if c.places else ""
    asked = "only where agreed: " if c.home == "agreed" else ""
    return asked + (what or "every place") + place + extent + much + (f", when {c.when}" if c.when else "")


def _cell(text: str) -> str:
    return text.replace("|", "\\|")


def _standard(law: Standard, known: Standards) -> list[str]:
    clauses = known.of(law.id)
    lines = [f"## {law.title}", "", f"`{law.id}`. {law.citation}.", ""]
    lines += [f"Text date: {law.in_force}.", "", "Missing:", *(f"- {m}" for m in law.missing), ""]
    lines += ["| clause | about | duty | where it lives | basis |", "|---|---|---|---|---|"]
    for c in clauses:
        basis = c.basis + (" (older text seen)" if c.older_text else "")
        cells = (f"`{c.key}`", c.about, c.duty.replace("_", " "), _where(c, known), basis)
        lines.append("| " + " | ".join(map(_cell, cells)) + " |")
    return [*lines, ""]


def _counts(known: Standards) -> list[str]:
    lines = [
        "## What there is",
        "",
        "| standard | clauses | in the house | agreed | exempts | elsewhere | from memory |",
    ]
    lines.append("|---|---:|---:|---:|---:|---:|---:|")
    for law in known.laws.values():
        homes = Counter(c.home for c in known.of(law.id))
        away = homes["report"] + homes["agreement"] + homes["practice"]
        memory = sum(c.unverified for c in known.of(law.id))
        row = (sum(homes.values()), homes["house"], homes["agreed"], homes["exempts"], away, memory)
        lines.append(f"| {law.id} | " + " | ".join(map(str, row)) + " |")
    return [*lines, ""]


def _switches(known: Standards) -> list[str]:
    lines = ["## Where they differ", "", "| question | state | answer | citation | basis |", "|---|---|---|---|---|"]
    for s in known.switches.values():
        for a in s.answers:
            value = a.value if isinstance(a.value, str) else json.dumps(a.value, ensure_ascii=False)
            cells = (s.question, a.jurisdiction, f"`{value}` {a.says}", a.citation, a.basis)
            lines.append("| " + " | ".join(map(_cell, cells)) + " |")
    return [*lines, ""]


def page(known: Standards) -> str:
    """The whole of docs/standards.md."""
    lines = [HEAD, *_counts(known), *_switches(known)]
    for law in known.laws.values():
        lines += _standard(law, known)
    return "\n".join(lines).rstrip() + "\n"


def main() -> int:
    """Write docs/standards.md from the repository's root."""
    out = Path("docs/standards.md")
    if not out.parent.is_dir():
        print("docs/ is not here; run this from the root of the repository", file=sys.stderr)
        return 2
    out.write_text(page(standards()), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main())
