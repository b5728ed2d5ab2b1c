#!/usr/bin/env python3
# A copy of the measure that this project is held to; kept as it came, so neither formatted nor typed here.
# ruff: noqa
# mypy: ignore-errors
# fmt: off
"""Score what Kingpost heard in a narration against a gold label file.

    score_listen.py RECORD.json GOLD.json [--verbose] [--json]
    score_listen.py --dir OUTDIR GOLDDIR [--verbose] [--json]

With --dir, for every NAME.gold.json in GOLDDIR the record is looked for as OUTDIR/NAME/record.json,
OUTDIR/NAME.record.json or OUTDIR/NAME.json; a narration without a record counts as nothing found.

A predicted finding may be matched to a gold finding when
  1. its evidence, taken through the remarks' start and end, comes within SLACK_S seconds of a gold span, and
  2. its own words (title, component, condition, narrative) hold one of component_any and one of condition_any.
Words copied out of the remarks do not count as own words: a run of COPY_RUN or more consecutive words that stands
in a remark is cut out of every text first, and so is a whole short remark inside a narrative text.
Terms are compared without regard to case, at word boundaries; a regular ending (s, es, d, ed, ing) is allowed, and
a space in a term also matches a hyphen.  Matching is one to one, by the best assignment: most matches first, then
the largest overlap in time.

Standard library only.  Ends with 0; with 2 and one line on stderr when a file cannot be read.
"""
import argparse
import json
import os
import re
import sys
from fractions import Fraction

SLACK_S = 2.0        # seconds of tolerance between evidence and gold spans
COPY_RUN = 7         # this many consecutive words found in a remark are taken as copied
COPY_SHORT = 4       # so is a whole remark of at least this many words inside a narrative text
VALUE_TOL = 0.01     # relative tolerance of a reading's value

UNITS = {
    'in': 'in inch inches " ″ in. inch(es)', 'ft': "ft foot feet ' ′ ft.", 'psi': 'psi lbf/in2 lbf/in^2 psig',
    'a': 'a amp amps ampere amperes', 'v': 'v volt volts', 'degf': 'degf f °f deg_f fahrenheit deg.f', '%': '% percent pct %mc',
    'in/12': 'in/12 in_per_12 in/12in in_per_ft in/ft :12 /12 in_per_12in in_12 pitch_in_12 in/12_in', 'awg': 'awg gauge ga #',
    'min': 'min minute minutes', 's': 's sec second seconds', 'cfm': 'cfm ft3/min', 'ppm': 'ppm', 'gal': 'gal gallon gallons',
    'count': 'count ea each pcs 1', 'year': 'year yr years',
}
UNIT_OF = {alias: unit for unit, names in UNITS.items() for alias in names.split()}


# ---------------------------------------------------------------- reading what may or may not be there

def as_list(x):
    if x is None:
        return []
    return list(x) if isinstance(x, (list, tuple)) else [x]


def as_number(x):
    """A float from 4, 4.5, '4 1/2', '3/16'; None if it is not a number."""
    if isinstance(x, bool) or x is None:
        return None
    if isinstance(x, (int, float)):
        return float(x)
    try:
        return float(sum(Fraction(p) for p in str(x).split()))
    except (ValueError, ZeroDivisionError):
        return None


def unit_name(x):
    t = re.sub(r'\s+', '_', str(x or '').strip().lower())
    return UNIT_OF.get(t, t)


def strings_in(x):
    if isinstance(x, str):
        yield x
    elif isinstance(x, dict):
        for v in x.values():
            yield from strings_in(v)
    elif isinstance(x, (list, tuple)):
        for v in x:
            yield from strings_in(v)


def tokens(text):
    return re.findall(r"[a-z0-9]+(?:['.][a-z0-9]+)*|[%&/\"°#]", text.lower().replace('’', "'"))


def clean(text):
    """Lower case, plain quotes; identifiers such as roof.gutter or low_slope come apart into words."""
    t = text.lower().replace('’', "'").replace('‘', "'")
    return re.sub(r'(?<=[a-z])[_.:](?=[a-z])', ' ', t)


_TERM = {}


def has_term(text, terms):
    """The first of the terms that stands in the (cleaned) text, else None."""
    for term in terms:
        rx = _TERM.get(term)
        if rx is None:
            body = r'[\s\-]+'.join(re.escape(w) for w in re.split(r'[\s\-]+', term.strip().lower()) if w)
            rx = _TERM[term] = re.compile(r'(?<![\w])' + body + r'(?:s|es|d|ed|ing)?(?![\w])')
        if rx.search(text):
            return term
    return None


# ---------------------------------------------------------------- time

def near(a, b, slack=SLACK_S):
    """Do two lists of [start, end] come within slack seconds of each other?"""
    return any(s1 <= e2 + slack and s2 <= e1 + slack for s1, e1 in a for s2, e2 in b)


def length(spans):
    return sum(e - s for s, e in union(spans))


def union(spans):
    out = []
    for s, e in sorted(spans):
        if out and s <= out[-1][1]:
            out[-1][1] = max(out[-1][1], e)
        else:
            out.append([s, e])
    return out


def shared(a, b):
    """Seconds that two lists of spans have in common."""
    return sum(max(0.0, min(e1, e2) - max(s1, s2)) for s1, e1 in union(a) for s2, e2 in union(b))


# ---------------------------------------------------------------- assignment

def assign(weight):
    """Best one-to-one assignment: weight[i][j] > 0 may be paired, 0 may not. Returns [(i, j)].

    Hungarian method on costs (potentials and shortest augmenting paths), O(n^2 m).
    """
    rows = len(weight)
    cols = len(weight[0]) if rows else 0
    if not rows or not cols:
        return []
    turned = rows > cols
    w = [list(r) for r in zip(*weight)] if turned else weight
    n, m = len(w), len(w[0])
    big = float('inf')
    u, v, p, way = [0.0] * (n + 1), [0.0] * (m + 1), [0] * (m + 1), [0] * (m + 1)
    for i in range(1, n + 1):
        p[0], j0 = i, 0
        least, used = [big] * (m + 1), [False] * (m + 1)
        while True:
            used[j0] = True
            i0, delta, j1 = p[j0], big, 0
            for j in range(1, m + 1):
                if not used[j]:
                    c = -w[i0 - 1][j - 1] - u[i0] - v[j]
                    if c < least[j]:
                        least[j], way[j] = c, j0
                    if least[j] < delta:
                        delta, j1 = least[j], j
            for j in range(m + 1):
                if used[j]:
                    u[p[j]] += delta
                    v[j] -= delta
                else:
                    least[j] -= delta
            j0 = j1
            if p[j0] == 0:
                break
        while j0:
            p[j0], j0 = p[way[j0]], way[j0]
    pairs = [(p[j] - 1, j - 1) for j in range(1, m + 1) if p[j] and w[p[j] - 1][j - 1] > 0]
    return sorted((j, i) for i, j in pairs) if turned else sorted(pairs)


# ---------------------------------------------------------------- the record

class Record:
    def __init__(self, data, narration):
        data = data if isinstance(data, dict) else {}
        remarks = [r for r in as_list(data.get('remarks')) if isinstance(r, dict)]
        want = os.path.basename(str(narration or '')).lower()
        sources = {os.path.basename(str(r.get('source') or '')).lower() for r in remarks}
        self.elsewhere = set()
        if want and want in sources and len(sources) > 1:     # several walks in one visit: keep this one
            keep = [r for r in remarks if os.path.basename(str(r.get('source') or '')).lower() == want]
            self.elsewhere = {str(r.get('id')) for r in remarks} - {str(r.get('id')) for r in keep}
            remarks = keep
        self.span, self.copied, self.whole, self.into, self.short = {}, set(), set(), {}, set()
        for r in remarks:
            rid, s, e = str(r.get('id')), as_number(r.get('start')), as_number(r.get('end'))
            if s is not None:
                self.span[rid] = [s, max(s, e if e is not None else s)]
            words = tokens(str(r.get('text') or ''))
            if words:
                self.whole.add(tuple(words))
            if COPY_SHORT <= len(words) < COPY_RUN:
                self.short.add(tuple(words))
            for i in range(len(words) - COPY_RUN + 1):
                self.copied.add(tuple(words[i:i + COPY_RUN]))
            for fid in as_list(r.get('into')):
                self.into.setdefault(str(fid), []).append(rid)
        self.readings = {}
        for k, q in enumerate(as_list(data.get('readings'))):
            if isinstance(q, dict) and not self._other(q):
                self.readings[str(q.get('id', 'reading-%d' % k))] = q
        self.findings = [f for f in as_list(data.get('findings')) if isinstance(f, dict) and not self._other(f)]
        self.limitations = [f for f in as_list(data.get('limitations')) if isinstance(f, dict) and not self._other(f)]
        self.as_found = [f for f in as_list(data.get('as_found')) if isinstance(f, dict) and not self._other(f)]
        self.causes = [{str(x) for x in as_list(c.get('findings'))} for c in as_list(data.get('causes')) if isinstance(c, dict)]

    def remark_ids(self, thing):
        ids = []
        for ev in as_list(thing.get('evidence')):
            if isinstance(ev, dict):
                ids += [str(x) for key in ('remark', 'remarks') for x in as_list(ev.get(key))]
            else:
                ids.append(str(ev))
        for key in ('remark', 'remarks'):
            ids += [str(x) for x in as_list(thing.get(key))]
        return ids

    def _other(self, thing):
        """Does everything it rests on come from another walk file?"""
        ids = [i for i in self.remark_ids(thing) if i in self.span or i in self.elsewhere]
        return bool(ids) and all(i in self.elsewhere for i in ids)

    def spans(self, thing):
        out = [self.span[i] for i in self.remark_ids(thing) if i in self.span]
        for ev in as_list(thing.get('evidence')):
            if isinstance(ev, dict) and as_number(ev.get('start')) is not None:
                s = as_number(ev.get('start'))
                out.append([s, max(s, as_number(ev.get('end')) or s)])
        if not out:
            for i in self.into.get(str(thing.get('id')), []):
                if i in self.span:
                    out.append(self.span[i])
        if not out:
            for q in self.quantities(thing):
                out += self.spans(q)
        if not out:
            out = [[t, t] for t in (as_number(thing.get('opened_at')), as_number(thing.get('closed_at'))) if t is not None]
        return out

    def quantities(self, finding):
        out = []
        for key in ('readings', 'quantities'):
            for q in as_list(finding.get(key)):
                if isinstance(q, dict):
                    out.append(q)
                elif str(q) in self.readings:
                    out.append(self.readings[str(q)])
        return out

    def own_words(self, finding):
        """Title, component, condition and narrative with what is copied from the remarks cut out."""
        parts = []
        for key in ('title', 'component', 'condition', 'narrative'):
            for text in strings_in(finding.get(key)):
                words = tokens(text)
                if key == 'narrative' and tuple(words) in self.whole:
                    continue
                cut = [False] * len(words)
                for i in range(len(words) - COPY_RUN + 1):
                    if tuple(words[i:i + COPY_RUN]) in self.copied:
                        cut[i:i + COPY_RUN] = [True] * COPY_RUN
                if key == 'narrative':
                    for n in range(COPY_SHORT, COPY_RUN):
                        for i in range(len(words) - n + 1):
                            if tuple(words[i:i + n]) in self.short:
                                cut[i:i + n] = [True] * n
                parts.append(' '.join('|' if c else w for w, c in zip(words, cut)) if any(cut) else text)
        return clean(' | '.join(parts))


# ---------------------------------------------------------------- scoring one narration

def could_match(rec, f, spans, own, gold):
    return near(spans, gold['spans']) and has_term(own, gold['component_any']) and has_term(own, gold['condition_any'])


def one_to_one(n_gold, n_pred, fits, score):
    w = [[(1000.0 + score(i, j)) if fits(i, j) else 0.0 for j in range(n_pred)] for i in range(n_gold)]
    return assign(w)


def place_fits(place, wanted):
    text = clean(' '.join(strings_in(place))) if not isinstance(place, str) else clean(place)
    return bool(text) and bool(has_term(text, wanted))


def value_fits(q, gold):
    v = as_number(q.get('value'))
    g = as_number(gold.get('value'))
    if v is None or g is None or unit_name(q.get('unit')) != unit_name(gold.get('unit')):
        return False
    return abs(v - g) <= VALUE_TOL * max(abs(g), 1e-9) + 1e-9 if g else abs(v) <= VALUE_TOL


def score(record, gold):
    """All counts of one narration, as a dict that can be summed."""
    rec = Record(record, gold.get('narration'))
    gf, pf = gold.get('findings', []), rec.findings
    spans = [rec.spans(f) for f in pf]
    own = [rec.own_words(f) for f in pf]
    fits = [[bool(spans[j]) and bool(could_match(rec, pf[j], spans[j], own[j], g)) for j in range(len(pf))] for g in gf]

    def closeness(i, j):
        both = shared(spans[j], gf[i]['spans'])
        return both / max(1e-6, length(spans[j]) + length(gf[i]['spans']) - both)
    pairs = one_to_one(len(gf), len(pf), lambda i, j: fits[i][j], closeness)
    got, used = dict(pairs), {j for _, j in pairs}
    c = dict(gold=len(gf), predicted=len(pf), matched=len(pairs))
    c['standing_right'] = sum(str(pf[j].get('standing', '')).lower() == gf[i]['standing'] for i, j in pairs)
    c['place_right'] = sum(place_fits(pf[j].get('place', ''), gf[i]['place_any']) for i, j in pairs)
    c['people_right'] = sum(('people' in [str(x).lower() for x in as_list(pf[j].get('at_stake'))]) == bool(gf[i].get('people_hurt')) for i, j in pairs)
    for st in ('deficiency', 'recommendation', 'information'):
        c['gold_' + st] = sum(g['standing'] == st for g in gf)
        c['matched_' + st] = sum(gf[i]['standing'] == st for i, _ in pairs)
    # said twice, found twice
    c['repeated'] = sum(1 for j in range(len(pf)) if j not in used and any(fits[i][j] for i in got))
    # quantities that hang on matched findings
    want = [(i, q) for i, _ in pairs for q in gf[i].get('quantities', []) if unit_name(q.get('unit')) not in ('year', 'count')]
    c['quantity_gold'] = len(want)
    c['quantity_got'] = sum(any(value_fits(p, q) for p in rec.quantities(pf[got[i]])) for i, q in want)
    # causes
    key = {g['key']: i for i, g in enumerate(gf)}
    links = {tuple(sorted((g['key'], o))) for g in gf for o in g.get('same_cause_as', []) if o in key}
    both = [(a, b) for a, b in links if key[a] in got and key[b] in got]
    ids = {i: str(pf[j].get('id')) for i, j in pairs}
    c['cause_gold'] = len(both)
    c['cause_got'] = sum(any({ids[key[a]], ids[key[b]]} <= s for s in rec.causes) for a, b in both)
    # false findings inside what is no finding
    all_gold = [s for g in gf for s in g['spans']]
    false_in = []
    for j in range(len(pf)):
        if j in used or not spans[j]:
            continue
        best = max(gold.get('not_findings', []), key=lambda n: shared(spans[j], n['spans']), default=None)
        if best is None:
            continue
        inside = shared(spans[j], best['spans'])
        if inside >= min(1.0, 0.5 * length(best['spans'])) and inside > shared(spans[j], all_gold):
            false_in.append((j, best['why']))
    c['false_in_not'] = len(false_in)
    c['not_spans'] = len(gold.get('not_findings', []))
    # readings, limitations, as found
    gr, pr = gold.get('readings', []), list(rec.readings.values())
    rspan = [rec.spans(q) for q in pr]

    def reading_fits(i, j):
        return value_fits(pr[j], gr[i]) and (not rspan[j] or near(rspan[j], [gr[i]['span']] + gr[i].get('also_said', [])))
    rp = one_to_one(len(gr), len(pr), reading_fits, lambda i, j: 1.0 if rspan[j] else 0.0)
    c.update(reading_gold=len(gr), reading_predicted=len(pr), reading_got=len(rp))
    out = {}
    for name in ('limitations', 'as_found'):
        gs, ps = gold.get(name, []), getattr(rec, name)
        sp = [rec.spans(x) for x in ps]
        mp = one_to_one(len(gs), len(ps), lambda i, j: bool(sp[j]) and near(sp[j], gs[i]['spans']), lambda i, j: min(1.0, shared(sp[j], gs[i]['spans']) / 10))
        c.update({name + '_gold': len(gs), name + '_predicted': len(ps), name + '_got': len(mp)})
        out[name] = dict(mp)
        if name == 'as_found':
            c['put_back_right'] = sum(bool(ps[j].get('put_back')) == bool(gs[i]['put_back']) for i, j in mp)
    detail = dict(rec=rec, pairs=got, spans=spans, own=own, fits=fits, false_in=dict(false_in), readings=dict(rp), **out)
    return c, detail


# ---------------------------------------------------------------- saying it

def ratio(a, b):
    return a / b if b else 0.0


def figures(c):
    p, r = ratio(c['matched'], c['predicted']), ratio(c['matched'], c['gold'])
    return {'precision': p, 'recall': r, 'f1': ratio(2 * p * r, p + r), 'standing': ratio(c['standing_right'], c['matched']),
            'place': ratio(c['place_right'], c['matched']), 'people': ratio(c['people_right'], c['matched']),
            'readings': ratio(c['reading_got'], c['reading_gold']), 'limitations': ratio(c['limitations_got'], c['limitations_gold']),
            'as_found': ratio(c['as_found_got'], c['as_found_gold']), 'put_back': ratio(c['put_back_right'], c['as_found_got']),
            'quantities': ratio(c['quantity_got'], c['quantity_gold']), 'causes': ratio(c['cause_got'], c['cause_gold']),
            'false_in_not_findings': c['false_in_not'], 'repeated': c['repeated']}


def line(name, c):
    f = figures(c)
    return ('%s: findings P %.3f R %.3f F1 %.3f (%d gold, %d predicted, %d matched) | standing %.3f | place %.3f | readings %d/%d %.3f | '
            'limitations %d/%d %.3f | as found %d/%d %.3f | false findings inside not-findings %d' % (
                name, f['precision'], f['recall'], f['f1'], c['gold'], c['predicted'], c['matched'], f['standing'], f['place'],
                c['reading_got'], c['reading_gold'], f['readings'], c['limitations_got'], c['limitations_gold'], f['limitations'],
                c['as_found_got'], c['as_found_gold'], f['as_found'], f['false_in_not_findings']))


def report(name, c):
    f = figures(c)
    rows = [line(name, c),
            '    by standing, gold found: deficiency %d/%d, recommendation %d/%d, information %d/%d' % (
                c['matched_deficiency'], c['gold_deficiency'], c['matched_recommendation'], c['gold_recommendation'],
                c['matched_information'], c['gold_information']),
            '    also: found twice %d | people at stake right %.3f | quantities on matched findings %d/%d | cause links %d/%d | put back right %d/%d' % (
                c['repeated'], f['people'], c['quantity_got'], c['quantity_gold'], c['cause_got'], c['cause_gold'], c['put_back_right'], c['as_found_got'])]
    return '\n'.join(rows)


def mmss(spans):
    return ', '.join('%d:%04.1f-%d:%04.1f' % (s // 60, s % 60, e // 60, e % 60) for s, e in spans) or 'no time'


def tell_all(gold, d):
    rec, pf = d['rec'], d['rec'].findings
    for i, g in enumerate(gold['findings']):
        j = d['pairs'].get(i)
        if j is not None:
            f = pf[j]
            odd = []
            if str(f.get('standing', '')).lower() != g['standing']:
                odd.append('standing %s, gold %s' % (f.get('standing'), g['standing']))
            if not place_fits(f.get('place', ''), g['place_any']):
                odd.append('place %s, gold %s' % (f.get('place'), '/'.join(g['place_any'][:3])))
            print('    = %-20s %s%s' % (g['key'], f.get('title'), '   [' + '; '.join(odd) + ']' if odd else ''))
        else:
            at = [k for k in range(len(pf)) if near(d['spans'][k], g['spans'])]
            why = 'nothing there'
            if at:
                lack = [('component' if not has_term(d['own'][k], g['component_any']) else '') + (' condition' if not has_term(d['own'][k], g['condition_any']) else '') for k in at]
                why = 'there: ' + '; '.join('%s (%s)' % (pf[k].get('title'), ('lacks ' + x.strip().replace(' ', ' and ')) if x.strip() else 'taken by another') for k, x in zip(at[:4], lack))
            print('    - %-20s missed at %s: %s | %s' % (g['key'], mmss(g['spans']), g['what'], why))
    taken = set(d['pairs'].values())
    for j, f in enumerate(pf):
        if j not in taken:
            tag = ' inside ' + d['false_in'][j] if j in d['false_in'] else (' (found twice)' if any(d['fits'][i][j] for i in d['pairs']) else '')
            print('    + false%s: %s at %s' % (tag, f.get('title'), mmss(d['spans'][j])))
    for i, q in enumerate(gold.get('readings', [])):
        if i not in d['readings']:
            print('    - reading missed at %s: %s %s %s' % (mmss([q['span']]), q['name'], q['value'], q['unit']))
    for name in ('limitations', 'as_found'):
        for i, q in enumerate(gold.get(name, [])):
            if i not in d[name]:
                print('    - %s missed at %s: %s' % (name.replace('_', ' '), mmss(q['spans']), q['what']))


def load(path):
    try:
        with open(path, encoding='utf-8') as fh:
            return json.load(fh)
    except (OSError, ValueError) as err:
        print('score_listen: %s: %s' % (path, err), file=sys.stderr)
        raise SystemExit(2)


def record_for(outdir, name):
    for tail in (os.path.join(name, 'record.json'), name + '.record.json', name + '.json'):
        path = os.path.join(outdir, tail)
        if os.path.isfile(path):
            return path
    return None


def main(argv=None):
    ap = argparse.ArgumentParser(description='Score the findings of record.json against a gold label file.')
    ap.add_argument('--dir', action='store_true', help='RECORD and GOLD are folders')
    ap.add_argument('--verbose', action='store_true', help='every match, miss and false finding')
    ap.add_argument('--json', action='store_true', help='one JSON object instead of text')
    ap.add_argument('record')
    ap.add_argument('gold')
    a = ap.parse_args(argv)
    jobs = []
    if a.dir:
        if not os.path.isdir(a.gold):
            print('score_listen: %s: no such folder' % a.gold, file=sys.stderr)
            return 2
        for fn in sorted(os.listdir(a.gold)):
            if fn.endswith('.gold.json'):
                name = fn[:-len('.gold.json')]
                jobs.append((name, record_for(a.record, name), os.path.join(a.gold, fn)))
        if not jobs:
            print('score_listen: %s: no *.gold.json there' % a.gold, file=sys.stderr)
            return 2
    else:
        jobs.append((os.path.basename(a.gold).replace('.gold.json', ''), a.record, a.gold))
    total, each = {}, {}
    for name, rpath, gpath in jobs:
        gold = load(gpath)
        c, d = score(load(rpath) if rpath else {}, gold)
        each[name] = c
        for k, v in c.items():
            total[k] = total.get(k, 0) + v
        if not a.json:
            print(report(name, c) + ('' if rpath else '\n    no record found for this narration'))
            if a.verbose:
                tell_all(gold, d)
    if a.json:
        print(json.dumps({'pooled': {**figures(total), 'counts': total}, 'narrations': {n: {**figures(c), 'counts': c} for n, c in each.items()}}, indent=1, sort_keys=True))
    else:
        print(line('POOLED over %d' % len(jobs), total))
    return 0


if __name__ == '__main__':
    try:
        sys.exit(main())
    except BrokenPipeError:
        sys.exit(0)
