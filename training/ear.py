"""Trains the ear: a small encoder that hears, word by word, where statements begin, what each is doing (a finding,
praise, a tip, ...), and which condition of the catalogue a statement tells.

Runs where torch is (an accelerator helps; a CPU takes hours). Starts from all-MiniLM-L6-v2 (Apache-2.0) in
training/build/base. Made narrations are strung together from the corpus, a third of them without punctuation;
narrations with gold labels join in. Writes training/build/ear.onnx (int8), prototypes.npz and ear.json.

    python training/ear.py OUT [--minutes M] [--steps N] [--narrations] [--fold K/N] [--seed N]

With --fold K/N about one walk in N is left out, by its name, so that the rankers can learn from walks that this ear
never heard.
"""

from __future__ import annotations

import argparse
import json
import math
import random
import re
import time
import zlib
from pathlib import Path

import numpy as np
import torch
from torch import nn
from torch.nn import functional as F
from transformers import AutoModel, BertTokenizerFast

HERE = Path(__file__).parent
LENGTH = 256
JITTER = 0.35  # share of the stretches that are met a little off


class Ear(nn.Module):
    """MiniLM with a head for acts and one for boundaries; conditions are prototypes on the unit sphere.

    The gate makes hidden vectors longer or shorter, so that in the mean of a stretch the telling words weigh more.
    """

    def __init__(self, base: str, acts: int, conditions: int) -> None:
        super().__init__()
        self.body = AutoModel.from_pretrained(
            base, dtype=torch.float32, add_pooling_layer=False, attn_implementation="eager"
        )
        size = self.body.config.hidden_size
        self.head = nn.Linear(size, acts + 1)
        self.gate = nn.Linear(size, 1)
        nn.init.zeros_(self.gate.weight)
        nn.init.zeros_(self.gate.bias)
        self.prototypes = nn.Parameter(torch.randn(conditions, size) * 0.05)
        self.scale = nn.Parameter(torch.tensor(14.0))

    def forward(self, ids: torch.Tensor, mask: torch.Tensor) -> torch.Tensor:
        hidden = self.body(input_ids=ids, attention_mask=mask, token_type_ids=torch.zeros_like(ids)).last_hidden_state
        weight = torch.exp(3 * torch.tanh(self.gate(hidden)))
        return torch.cat([hidden * weight, self.head(hidden)], dim=-1)


class Maker:
    """Makes training sequences from utterances."""

    def __init__(self, data: dict, seed: int) -> None:
        self.rng = random.Random(seed)
        self.share = min(0.5, 0.01 * (len(data["narrations"]) + len(data["walks"])))
        self.acts = {a: n for n, a in enumerate(data["acts"])}
        self.conditions = {c: n for n, c in enumerate(data["conditions"])}
        self.by_condition: dict[str, list[str]] = {}
        self.by_act: dict[str, list[tuple[str, str]]] = {}
        for label, text in data["utterances"]:
            if label in self.conditions:
                self.by_condition.setdefault(label, []).append(text)
            else:
                act, _, what = label.partition(":")
                self.by_act.setdefault(act, []).append((what, text))
        self.places = data["places"]
        self.narrations = data["narrations"] + data["walks"]
        self.component = {c: d["component"] for c, d in data["conditions"].items()}
        self.names = data["components"]  # id -> how it is called
        self.by_component: dict[str, list[str]] = {}
        for c in self.by_condition:
            self.by_component.setdefault(self.component[c], []).append(c)
        self.by_what: dict[str, list[tuple[str, str]]] = {}
        for act, items in self.by_act.items():
            for what, text in items:
                self.by_what.setdefault(what, []).append((act, text))
        self.weights = [math.sqrt(len(v)) for v in self.by_component.values()]

    def piece(self) -> tuple[str, str, str]:
        """(act, condition, text)."""
        r = self.rng.random()
        if r < 0.44:
            c = self.rng.choice(list(self.by_condition))
            return "finding", c, self.rng.choice(self.by_condition[c])
        if r < 0.51:
            p = self.rng.choice(self.places)
            form = self.rng.choice(
                [
                    "{}.",
                    "now the {}.",
                    "okay, {}.",
                    "going into the {}.",
                    "{}",
                    "in the {} now.",
                    "next, {}.",
                    "alright {}",
                    "moving on to the {}.",
                ]
            )
            return "description", "", form.format(p)
        weights = {
            "praise": 6.5,
            "description": 3,
            "tip": 1.6,
            "hypothetical": 1.6,
            "other_house": 1.6,
            "safety_talk": 1,
            "banter": 1,
            "correction": 0.8,
            "limitation": 3.0,
            "handling": 3.2,
            "question": 0.8,
        }
        kinds = [k for k in weights if self.by_act.get(k)]
        act = self.rng.choices(kinds, [weights[k] for k in kinds])[0]
        return act, "", self.rng.choice(self.by_act[act])[1]

    def topic(self) -> list[tuple[str, str, str]]:
        """A few pieces about one part, named at the start and mostly only leaned on after: (act, condition, text)."""
        part = self.rng.choices(list(self.by_component), self.weights)[0]
        called = self.names[part]
        out: list[tuple[str, str, str]] = []
        if self.rng.random() < 0.25:
            out.append(
                (
                    "description",
                    "",
                    self.rng.choice(["{}.", "now the {}.", "{}", "in the {}."]).format(self.rng.choice(self.places)),
                )
            )
        named = self.rng.random() < 0.7
        if named:
            form = self.rng.choice(
                ["{}.", "now the {}.", "okay, {}.", "the {},", "{}", "next, the {}.", "let's see the {}."]
            )
            out.append(("description", "", form.format(self.rng.choice(called))))
        for _ in range(self.rng.choice([1, 1, 2, 2, 3, 4])):
            r = self.rng.random()
            if r < 0.66 or part not in self.by_what:
                c = self.rng.choice(self.by_component[part])
                text = self.rng.choice(self.by_condition[c])
                out.append(("finding", c, self.leaned(text, called) if named and self.rng.random() < 0.5 else text))
            else:
                act, text = self.rng.choice(self.by_what[part])
                out.append((act, "", text))
        return out

    def leaned(self, text: str, called: list[str]) -> str:
        """The text with the name of its part left out or said as "it"."""
        for name in sorted(called, key=len, reverse=True):
            hit = re.search(r"\b(the |this |that |a |an )?" + re.escape(name) + r"\b(?='s|s'|\b)", text, re.I)
            if hit:
                gone = text[: hit.start()] + self.rng.choice(["it", "it", "this one", "that", ""]) + text[hit.end() :]
                return gone.strip(" ,") or text
        return text

    def noise(self, words: list[str]) -> list[str]:
        out = []
        for w in words:
            r = self.rng.random()
            if r < 0.015:
                continue
            if r < 0.03 and len(w) > 4:
                k = self.rng.randrange(1, len(w) - 1)
                w = w[:k] + w[k + 1 :]
            if r > 0.985:
                out.append(self.rng.choice(["um", "uh", "so", "well", "you", "know", "like"]))
            out.append(w)
        return out or words

    def sequence(self) -> tuple[list[str], list[int], list[int], list[tuple[int, int, list[int]]]]:
        """Words, act per word (-100 unknown, -1 not a finding), boundary per word (-1 unknown), finding spans."""
        if self.narrations and self.rng.random() < self.share:
            return self.cut()
        bare = self.rng.random() < 0.45
        words: list[str] = []
        acts: list[int] = []
        starts: list[int] = []
        spans: list[tuple[int, int, list[int]]] = []
        room = self.rng.choice([60, 110, 150, 180])
        topical, waiting = self.rng.random() < 0.6, list[tuple[str, str, str]]()
        while len(words) < room:
            if topical and not waiting:
                waiting = self.topic()
            act, condition, text = waiting.pop(0) if topical else self.piece()
            if bare:
                text = re.sub(r"[^\w\s'/.%]|\.(?!\d)", "", text.lower())
            elif not re.search(r"[.?!]$", text) and self.rng.random() < 0.8:
                text += self.rng.choice([".", ".", ".", ","])
            if not bare and self.rng.random() < 0.15:
                text = text.lower()
            new = text.replace("-", " ").split()
            if self.rng.random() < 0.5:
                new = self.noise(new)
            if self.rng.random() < 0.12:
                new = (
                    self.rng.choice(
                        ["and", "also", "okay so", "now", "then", "alright", "and then", "plus", "uh"]
                    ).split()
                    + new
                )
            if not new:
                continue
            a = len(words)
            words += new
            acts += [self.acts[act]] * len(new)
            starts += [1] + [0] * (len(new) - 1)
            if condition:
                spans.append((a, len(words), [self.conditions[condition]]))
        return words, acts, starts, spans

    def cut(self) -> tuple[list[str], list[int], list[int], list[tuple[int, int, list[int]]]]:
        n = self.rng.choice(self.narrations)
        size = self.rng.choice([80, 120, 160])
        lo = self.rng.randrange(max(1, len(n["words"]) - size))
        hi = lo + size
        words = n["words"][lo:hi]
        if self.rng.random() < 0.4:
            words = [re.sub(r"[^\w\s'/.%]|\.(?!\d)", "", w.lower()) or "uh" for w in words]
        acts, starts, spans = [-1] * len(words), [-1] * len(words), []
        for a, b, act, right in n["spans"]:
            for k in range(max(a, lo), min(b, hi)):
                if acts[k - lo] in (-1, self.acts["praise"]) or act == "finding":
                    acts[k - lo] = self.acts[act]
            for edge in (a, b):
                if lo <= edge < hi:
                    starts[edge - lo] = 1
            for k in range(a + 2, b - 1):
                if (
                    lo <= k < hi
                    and starts[k - lo] == -1
                    and not re.search(r"[.?!,;]$", words[k - lo - 1] if k > lo else ".")
                ):
                    starts[k - lo] = 0
            if act == "finding" and right and a >= lo and b <= hi and b > a:
                spans.append((a - lo, b - lo, [self.conditions[c] for c in right if c in self.conditions]))
        return words, acts, starts, spans


class Pieces:
    """The pieces of each word, looked up once."""

    def __init__(self, base: str) -> None:
        self.tokenizer = BertTokenizerFast.from_pretrained(base)
        self.known: dict[str, list[int]] = {}

    def of(self, word: str) -> list[int]:
        if word not in self.known:
            self.known[word] = self.tokenizer(word, add_special_tokens=False)["input_ids"]
        return self.known[word]

    def row(self, words: list[str]) -> tuple[list[int], list[int | None]]:
        """Ids with both ends, and for each the word that it belongs to."""
        ids, of = [101], [None]
        for n, word in enumerate(words):
            new = self.of(word)
            if len(ids) + len(new) >= LENGTH:
                break
            ids += new
            of += [n] * len(new)
        return [*ids, 102], [*of, None]


def jittered(a: int, b: int, words: int, rng: random.Random) -> tuple[int, int]:
    """A stretch about where it was: the windows of a walk are seldom cut just where its author would."""
    most = max(1, (b - a) // 4)
    x, y = a + rng.randint(-2, most), b + rng.randint(-most, 2)
    return (max(0, x), min(words, y)) if y - x >= 2 else (a, b)


def encode(pieces: Pieces, batch: list, rng: random.Random) -> dict:
    rows = [pieces.row(b[0]) for b in batch]
    longest = max(len(ids) for ids, _ in rows)
    size = (len(rows), longest)
    tokens, mask = torch.zeros(size, dtype=torch.long), torch.zeros(size, dtype=torch.long)
    for i, (row, _) in enumerate(rows):
        tokens[i, : len(row)], mask[i, : len(row)] = torch.tensor(row), 1
    acts = torch.full(size, -100)
    starts = torch.full(size, -1.0)
    spans = []
    for i, (words, a, s, sp) in enumerate(batch):
        ids = rows[i][1]
        first: dict[int, int] = {}
        last: dict[int, int] = {}
        for t, w in enumerate(ids):
            if w is None:
                continue
            if w not in first:
                first[w] = t
                acts[i, t] = a[w]
                starts[i, t] = s[w]
            last[w] = t
        for x, y, right in sp:
            if rng.random() < JITTER:
                x, y = jittered(x, y, len(words), rng)
            if x in first and y - 1 in last and right:
                spans.append((i, first[x], last[y - 1] + 1, right))
    return {"ids": tokens, "mask": mask, "acts": acts, "starts": starts, "spans": spans}


class Stream(torch.utils.data.IterableDataset):
    def __init__(self, data: dict, base: str, seed: int, size: int) -> None:
        self.data, self.base, self.seed, self.size = data, base, seed, size

    def __iter__(self):
        info = torch.utils.data.get_worker_info()
        maker = Maker(self.data, self.seed * 1000 + (info.id if info else 0))
        torch.set_num_threads(1)
        pieces = Pieces(self.base)
        while True:
            batch = [maker.sequence() for _ in range(self.size)]
            for _ in range(self.size):  # utterances alone: how a firm's own phrases are met
                c = maker.rng.choice(list(maker.by_condition))
                words = maker.rng.choice(maker.by_condition[c]).replace("-", " ").split()
                if maker.rng.random() < 0.5:
                    words = [re.sub(r"[^\w\s'/.%]|\.(?!\d)", "", w.lower()) or "uh" for w in words]
                batch.append(
                    (words, [0] * len(words), [1] + [0] * (len(words) - 1), [(0, len(words), [maker.conditions[c]])])
                )
            yield encode(pieces, batch, maker.rng)


def span_vectors(hidden: torch.Tensor, spans: list) -> torch.Tensor:
    """Mean of the tokens of each span, at unit length."""
    sums = torch.cumsum(hidden, dim=1)
    i = torch.tensor([s[0] for s in spans], device=hidden.device)
    a = torch.tensor([s[1] for s in spans], device=hidden.device)
    b = torch.tensor([s[2] for s in spans], device=hidden.device)
    total = sums[i, b - 1] - torch.where(
        (a > 0)[:, None], sums[i, (a - 1).clamp(min=0)], torch.zeros_like(sums[i, b - 1])
    )
    return F.normalize(total / (b - a)[:, None], dim=-1)


def one_hot(kinds: list[str], device: str) -> torch.Tensor:
    """Conditions by kinds: 1 where a condition is of it."""
    order = {k: n for n, k in enumerate(sorted(set(kinds)))}
    return F.one_hot(torch.tensor([order[k] for k in kinds]), len(order)).float().to(device)


def losses(model: Ear, batch: dict, acts: int, kin: list, device: str) -> tuple[torch.Tensor, dict]:
    ids, mask = batch["ids"].to(device), batch["mask"].to(device)
    with torch.autocast("cuda", dtype=torch.bfloat16, enabled=device == "cuda"):
        out = model(ids, mask)
    out = out.float()
    size = out.shape[-1] - acts - 1
    hidden, act, start = out[..., :size], out[..., size : size + acts], out[..., -1]
    labels, edges = batch["acts"].to(device), batch["starts"].to(device)
    known = labels >= 0
    loss_act = F.cross_entropy(act[known], labels[known], label_smoothing=0.05)
    unknown = labels == -1
    loss_not = -torch.log1p(-act[unknown].softmax(-1)[:, 0].clamp(max=0.999)).mean() if unknown.any() else act.sum() * 0
    told = edges >= 0
    loss_start = F.binary_cross_entropy_with_logits(
        start[told], edges[told], pos_weight=torch.tensor(3.0, device=device)
    )
    spans = batch["spans"]
    v = span_vectors(hidden, spans)
    logits = model.scale * v @ F.normalize(model.prototypes, dim=-1).T
    right = torch.zeros(logits.shape, dtype=torch.bool)
    rows = [n for n, s in enumerate(spans) for _ in s[3]]
    right[rows, [c for s in spans for c in s[3]]] = True
    right = right.to(device)
    logp = logits.log_softmax(-1).masked_fill(~right, -30.0)
    loss_condition = -torch.logsumexp(logp, dim=-1).mean()
    chance = logits.softmax(-1)
    loss_kin = sum(  # where the condition is missed, at least the part and the kind of fault
        -torch.log(((chance @ of) * (right.float() @ of).clamp(max=1)).sum(-1).clamp(1e-6, 1)).mean() for of in kin
    )
    total = loss_act + 0.5 * loss_not + loss_start + 1.2 * loss_condition + 0.25 * loss_kin
    return total, {
        "act": loss_act.item(),
        "not": loss_not.item(),
        "start": loss_start.item(),
        "condition": loss_condition.item(),
    }


def main() -> None:
    ask = argparse.ArgumentParser()
    ask.add_argument("out")
    ask.add_argument("--minutes", type=float, default=7)
    ask.add_argument("--steps", type=int, default=100000)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--size", type=int, default=48)
    ask.add_argument("--workers", type=int, default=12)
    ask.add_argument("--rate", type=float, default=1.5e-4)
    ask.add_argument("--fold", default="", help="K/N: leave out one walk in N")
    ask.add_argument("--narrations", action="store_true", help="learn from the labelled narrations too")
    a = ask.parse_args()
    torch.manual_seed(a.seed)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    base = str(HERE / "build/base")
    data = json.loads((HERE / "build/data.json").read_text())
    if a.narrations:
        data["narrations"], data["heldout"] = data["heldout"], []
    if a.fold:
        k, n = map(int, a.fold.split("/"))
        data["walks"] = [w for w in data["walks"] if zlib.crc32(w["name"].encode()) % n != k]
    acts = len(data["acts"])
    model = Ear(base, acts, len(data["conditions"])).to(device)
    tokenizer = BertTokenizerFast.from_pretrained(base)
    start_prototypes(model, tokenizer, data, device)
    body = [p for n, p in model.named_parameters() if n.startswith("body")]
    rest = [p for n, p in model.named_parameters() if not n.startswith("body")]
    optimiser = torch.optim.AdamW(
        [{"params": body, "lr": a.rate}, {"params": rest, "lr": a.rate * 10}], weight_decay=0.02
    )
    loader = torch.utils.data.DataLoader(
        Stream(data, base, a.seed, a.size),
        batch_size=None,
        num_workers=a.workers,
        prefetch_factor=8 if a.workers else None,
    )
    kin = [one_hot([d[k] for d in data["conditions"].values()], device) for k in ("component", "fault")]
    began, seen = time.time(), {}
    model.train()
    for step, batch in enumerate(loader):
        share = min(1.0, max((time.time() - began) / (a.minutes * 60), step / a.steps))
        if share >= 1:
            break
        warm = min(1.0, step / 300) * (0.5 * (1 + np.cos(np.pi * share)))
        for group, rate in zip(optimiser.param_groups, (a.rate, a.rate * 10), strict=True):
            group["lr"] = rate * warm
        loss, parts = losses(model, batch, acts, kin, device)
        optimiser.zero_grad()
        loss.backward()
        torch.nn.utils.clip_grad_norm_(model.parameters(), 1.0)
        optimiser.step()
        for k, v in parts.items():
            seen[k] = 0.98 * seen.get(k, v) + 0.02 * v
        if step % 750 == 749 and data.get("heldout"):
            print("   ", judge(model, tokenizer, data, device), flush=True)
        if step % 250 == 0:
            print(
                f"{time.time() - began:6.0f} s  step {step}  " + "  ".join(f"{k} {v:.3f}" for k, v in seen.items()),
                flush=True,
            )
    if data.get("heldout"):
        print("   ", judge(model, tokenizer, data, device), flush=True)
    save(model.cpu().eval(), Path(a.out), data, step)


@torch.no_grad()
def judge(model: Ear, tokenizer: BertTokenizerFast, data: dict, device: str) -> str:
    """On narrations it did not learn from: how well words of findings are heard, and the condition of whole spans."""
    model.eval()
    acts = len(data["acts"])
    hit = miss = wrong = first = third = spans_seen = edge_hit = edge_gold = edge_said = 0
    size = model.prototypes.shape[1]
    names = {c: n for n, c in enumerate(data["conditions"])}
    for n in data["heldout"]:
        for bare in (False, True):
            words = [re.sub(r"[^\w\s'/.%]|\.(?!\d)", "", w.lower()) or "uh" for w in n["words"]] if bare else n["words"]
            finding = np.zeros(len(words), bool)
            for a, b, act, _ in n["spans"]:
                if act == "finding":
                    finding[a:b] = True
            edges = {a for a, b, act, _ in n["spans"] if act == "finding"}
            for lo in range(0, len(words), 110):
                part = words[max(0, lo - 20) : lo + 130]
                base = max(0, lo - 20)
                enc = tokenizer(
                    [part], is_split_into_words=True, truncation=True, max_length=LENGTH, return_tensors="pt"
                )
                out = model(enc["input_ids"].to(device), enc["attention_mask"].to(device)).float()[0].cpu()
                ids = enc.word_ids(0)
                firsts = {w: t for t, w in reversed(list(enumerate(ids))) if w is not None}
                lasts = {w: t for t, w in enumerate(ids) if w is not None}
                for w, t in firsts.items():
                    k = base + w
                    if not lo <= k < lo + 110:
                        continue
                    said = int(out[t, size : size + acts].argmax()) == 0
                    hit += said and finding[k]
                    miss += not said and finding[k]
                    wrong += said and not finding[k]
                    start = float(out[t, -1]) > 0
                    edge_said += start
                    edge_gold += k in edges
                    edge_hit += (
                        any(float(out[firsts[j], -1]) > 0 for j in (w - 1, w, w + 1) if j in firsts)
                        if k in edges
                        else 0
                    )
                for a, b, act, right in n["spans"]:
                    if (
                        act == "finding"
                        and right
                        and lo <= a < lo + 110
                        and a - base in firsts
                        and b - 1 - base in lasts
                    ):
                        v = F.normalize(out[firsts[a - base] : lasts[b - 1 - base] + 1, :size].mean(0), dim=-1)
                        order = (
                            (F.normalize(model.prototypes.detach().cpu(), dim=-1) @ v)
                            .argsort(descending=True)[:3]
                            .tolist()
                        )
                        good = {names[c] for c in right if c in names}
                        spans_seen += 1
                        first += order[0] in good
                        third += bool(good & set(order))
    model.train()
    p, r = hit / max(1, hit + wrong), hit / max(1, hit + miss)
    return (
        f"finding words P {p:.3f} R {r:.3f}; condition first {first / max(1, spans_seen):.3f} "
        f"of three {third / max(1, spans_seen):.3f}; beginnings found {edge_hit / max(1, edge_gold):.3f}"
    )


@torch.no_grad()
def start_prototypes(model: Ear, tokenizer: BertTokenizerFast, data: dict, device: str) -> None:
    """Each prototype starts as the mean of its phrases."""
    where = {c: n for n, c in enumerate(data["conditions"])}
    sums = torch.zeros_like(model.prototypes)
    told = [(where[c], t) for c, t in data["utterances"] if c in where]
    for at in range(0, len(told), 256):
        part = told[at : at + 256]
        enc = tokenizer([t for _, t in part], truncation=True, max_length=96, padding=True, return_tensors="pt").to(
            device
        )
        out = model(enc["input_ids"], enc["attention_mask"])[..., : sums.shape[1]]
        mask = enc["attention_mask"][..., None]
        mean = F.normalize((out * mask).sum(1) / mask.sum(1), dim=-1)
        sums.index_add_(0, torch.tensor([n for n, _ in part], device=device), mean)
    model.prototypes.copy_(F.normalize(sums, dim=-1))


def save(model: Ear, out: Path, data: dict, step: int) -> None:
    """The encoder as int8 ONNX, the prototypes in half precision, and what was trained."""
    from onnxruntime.quantization import QuantType, quantize_dynamic

    out.mkdir(parents=True, exist_ok=True)
    ids = torch.ones(1, 8, dtype=torch.long)
    torch.onnx.export(
        model,
        (ids, ids),
        str(out / "ear32.onnx"),
        input_names=["input_ids", "attention_mask"],
        output_names=["heard"],
        dynamic_axes={"input_ids": {0: "b", 1: "t"}, "attention_mask": {0: "b", 1: "t"}, "heard": {0: "b", 1: "t"}},
        opset_version=17,
        dynamo=False,
    )
    quantize_dynamic(str(out / "ear32.onnx"), str(out / "ear.onnx"), weight_type=QuantType.QInt8, per_channel=True)
    with torch.no_grad():
        kept = F.normalize(model.prototypes, dim=-1).numpy().astype(np.float16)
    np.savez_compressed(out / "prototypes.npz", names=np.array(list(data["conditions"])), vectors=kept)
    about = {
        "acts": data["acts"],
        "scale": round(model.scale.item(), 4),
        "size": int(model.prototypes.shape[1]),
        "steps": step,
    }
    (out / "ear.json").write_text(json.dumps(about, sort_keys=True) + "\n")
    (out / "ear32.onnx").unlink()
    whole = (out / "ear.onnx").read_bytes()
    for n, at in enumerate(range(0, len(whole), 12_000_000)):  # in pieces, for a machine that sends back small files
        (out / f"ear.onnx.{n}").write_bytes(whole[at : at + 12_000_000])
    (out / "ear.onnx").unlink()


if __name__ == "__main__":
    main()
