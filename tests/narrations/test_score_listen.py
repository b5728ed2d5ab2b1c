# A copy of the measure that this project is held to; kept as it came, so neither formatted nor typed here.
# ruff: noqa
# mypy: ignore-errors
# fmt: off
"""Tests of score_listen.py on a small record made by hand.  Run: python3 test_score_listen.py"""
import contextlib
import io
import json
import os
import tempfile
import unittest

from tests.narrations import score_listen as sl

GOLD = {
    'narration': 'small.vtt', 'house': {'year': 1960, 'type': 'ranch'},
    'findings': [
        {'key': 'gutter', 'what': 'The gutter is full of leaves.', 'component_any': ['gutter'], 'condition_any': ['clog', 'clogged', 'debris', 'full'],
         'standing': 'deficiency', 'place_any': ['roof', 'exterior'], 'people_hurt': False, 'spans': [[10, 16]], 'quantities': [], 'same_cause_as': ['crawl']},
        {'key': 'crawl', 'what': 'Water stands in the crawl space.', 'component_any': ['crawl space'], 'condition_any': ['standing water', 'wet'],
         'standing': 'deficiency', 'place_any': ['underfloor', 'crawl space'], 'people_hurt': False, 'spans': [[100, 110], [150, 155]], 'quantities': [], 'same_cause_as': ['gutter']},
        {'key': 'guard', 'what': 'The deck guard is thirty inches high.', 'component_any': ['guard', 'railing'], 'condition_any': ['low', 'height'],
         'standing': 'recommendation', 'place_any': ['deck'], 'people_hurt': True, 'spans': [[30, 36]],
         'quantities': [{'name': 'guard height', 'value': 30, 'unit': 'in'}], 'same_cause_as': []},
        {'key': 'heater', 'what': 'The water heater is old.', 'component_any': ['water heater'], 'condition_any': ['old', 'age'],
         'standing': 'information', 'place_any': ['garage'], 'people_hurt': False, 'spans': [[60, 64]], 'quantities': [], 'same_cause_as': []},
    ],
    'limitations': [{'what': 'Attic not entered.', 'spans': [[200, 206]]}],
    'as_found': [{'what': 'breaker 14 turned off', 'spans': [[70, 73], [120, 122]], 'put_back': True}, {'what': 'tap left open', 'spans': [[180, 183]], 'put_back': False}],
    'readings': [{'name': 'guard height', 'value': 30, 'unit': 'in', 'span': [33, 34]}, {'name': 'water pressure', 'value': 80, 'unit': 'psi', 'span': [40, 42]},
                 {'name': 'crack', 'value': 0.1875, 'unit': 'in', 'span': [50, 51]}],
    'not_findings': [{'spans': [[80, 90]], 'why': 'praise'}, {'spans': [[130, 140]], 'why': 'tip'}],
}


def record():
    return {
        'schema': 'kingpost-record/1',
        'remarks': [
            {'id': 'r1', 'start': 10, 'end': 16, 'text': 'And right here the gutter is chock full of leaves, look at that.'},
            {'id': 'r2', 'start': 30, 'end': 37, 'text': 'The rail up here comes to about thirty inches.'},
            {'id': 'r3', 'start': 40, 'end': 42, 'text': 'Eighty at the tap.'},
            {'id': 'r4', 'start': 60, 'end': 64, 'text': 'Water heater is an old soldier.'},
            {'id': 'r5', 'start': 82, 'end': 88, 'text': 'The roof is lovely, no leaks.'},
            {'id': 'r6', 'start': 157, 'end': 160, 'text': 'Like I said, a pond under there.'},
            {'id': 'r7', 'start': 201, 'end': 205, 'text': "I could not get in the attic."},
            {'id': 'r8', 'start': 70, 'end': 73, 'text': 'Fourteen is off.'},
        ],
        'readings': [{'id': 'q1', 'quantity': 'guard height', 'value': 30.2, 'unit': 'inches', 'remark': 'r2'},
                     {'id': 'q2', 'quantity': 'water pressure', 'value': 82, 'unit': 'psi', 'remark': 'r3'}],
        'findings': [
            {'id': 'f1', 'condition': 'gutter.clogged', 'title': 'Gutter full of debris', 'component': 'gutter', 'place': 'roof', 'standing': 'deficiency',
             'at_stake': ['water'], 'narrative': {'saw': 'Leaves fill the gutter.'}, 'evidence': [{'remark': 'r1'}], 'readings': []},
            {'id': 'f2', 'condition': 'guard_low', 'title': 'Low guard', 'component': 'deck_guard', 'place': 'deck', 'standing': 'deficiency',
             'at_stake': ['people'], 'evidence': [{'remark': 'r2'}, {'photo': 'p1'}], 'readings': ['q1']},
            {'id': 'f3', 'title': 'Roof leak', 'component': 'roof', 'place': 'roof', 'standing': 'deficiency', 'evidence': [{'remark': 'r5'}]},
            {'id': 'f4', 'title': 'Wet crawl space', 'place': 'attic', 'standing': 'deficiency', 'evidence': [{'remark': 'r6'}]},
            {'id': 'f5', 'title': 'Gutter clogged', 'component': 'gutter', 'place': 'roof', 'standing': 'deficiency', 'evidence': [{'remark': 'r1'}]},
        ],
        'limitations': [{'id': 'l1', 'text': 'Attic not entered', 'evidence': [{'remark': 'r7'}]}],
        'as_found': [{'id': 'a1', 'text': 'Breaker off', 'put_back': True, 'evidence': [{'remark': 'r8'}]}],
        'causes': [{'id': 'c1', 'findings': ['f1', 'f4', 'f9']}],
    }


class Scoring(unittest.TestCase):
    def setUp(self):
        self.c, self.d = sl.score(record(), GOLD)
        self.f = sl.figures(self.c)

    def test_findings(self):
        self.assertEqual((self.c['gold'], self.c['predicted'], self.c['matched']), (4, 5, 3))
        self.assertAlmostEqual(self.f['precision'], 3 / 5)
        self.assertAlmostEqual(self.f['recall'], 3 / 4)
        self.assertAlmostEqual(self.f['f1'], 2 / 3)

    def test_one_to_one(self):
        self.assertEqual(self.c['repeated'], 1)
        self.assertEqual(len(set(self.d['pairs'].values())), 3)

    def test_standing_place_people(self):
        self.assertAlmostEqual(self.f['standing'], 2 / 3)
        self.assertAlmostEqual(self.f['place'], 2 / 3)
        self.assertAlmostEqual(self.f['people'], 1.0)

    def test_false_inside_praise(self):
        self.assertEqual(self.c['false_in_not'], 1)
        self.assertEqual(list(self.d['false_in'].values()), ['praise'])

    def test_readings(self):
        self.assertEqual((self.c['reading_got'], self.c['reading_gold']), (1, 3))     # 82 psi is off by more than one per cent
        self.assertEqual((self.c['quantity_got'], self.c['quantity_gold']), (1, 1))

    def test_limits_as_found_causes(self):
        self.assertEqual((self.c['limitations_got'], self.c['limitations_gold']), (1, 1))
        self.assertEqual((self.c['as_found_got'], self.c['as_found_gold'], self.c['put_back_right']), (1, 2, 1))
        self.assertEqual((self.c['cause_got'], self.c['cause_gold']), (1, 1))


class Rules(unittest.TestCase):
    def one(self, finding, **more):
        r = record()
        r['findings'] = [dict({'id': 'x', 'evidence': [{'remark': 'r1'}]}, **finding)]
        r.update(more)
        return sl.score(r, GOLD)[0]['matched']

    def test_copied_words_do_not_count(self):
        self.assertEqual(self.one({'title': 'Item', 'narrative': {'saw': 'And right here the gutter is chock full of leaves, look at that.'}}), 0)
        self.assertEqual(self.one({'title': 'Right here the gutter is chock full of leaves'}), 0)
        self.assertEqual(self.one({'title': 'Item', 'narrative': {'saw': 'Seen: right here the gutter is chock full of leaves.', 'do': 'Clear the gutter; it is clogged.'}}), 1)

    def test_short_remark_copied(self):
        self.assertEqual(self.one({'title': 'Item', 'evidence': [{'remark': 'r4'}], 'narrative': {'saw': 'Water heater is an old soldier.'}}), 0)
        self.assertEqual(self.one({'title': 'Item', 'evidence': [{'remark': 'r4'}], 'narrative': {'saw': 'He said: water heater is an old soldier, today.'}}), 0)
        self.assertEqual(self.one({'title': 'Old water heater', 'evidence': [{'remark': 'r4'}]}), 1)

    def test_both_words_are_needed(self):
        self.assertEqual(self.one({'title': 'Gutter'}), 0)
        self.assertEqual(self.one({'title': 'Clogged'}), 0)
        self.assertEqual(self.one({'title': 'Clogged gutters'}), 1)
        self.assertEqual(self.one({'title': 'Guttering unclogged'}), 0)

    def test_time_and_slack(self):
        for start, end, want in ((17.9, 20, 1), (18.1, 20, 0), (2, 8.1, 1), (2, 7.9, 0)):
            r = [{'id': 'r1', 'start': start, 'end': end, 'text': 'x'}]
            self.assertEqual(self.one({'title': 'Clogged gutter'}, remarks=r), want, (start, end))

    def test_second_mention(self):
        self.assertEqual(self.one({'title': 'Standing water in crawl-space', 'evidence': ['r6']}), 1)

    def test_into_and_readings_as_evidence(self):
        r = record()
        r['findings'] = [{'id': 'x', 'title': 'Clogged gutter'}]
        r['remarks'][0]['into'] = ['x']
        self.assertEqual(sl.score(r, GOLD)[0]['matched'], 1)
        r['findings'] = [{'id': 'y', 'title': 'Guard too low', 'readings': ['q1']}]
        self.assertEqual(sl.score(r, GOLD)[0]['matched'], 1)

    def test_best_assignment_takes_the_most(self):
        # f could take either; g only the first: the best assignment gives both a partner
        self.assertEqual(sl.assign([[1001, 1002], [1001, 0]]), [(0, 1), (1, 0)])
        self.assertEqual(sl.assign([[1001], [1002], [0]]), [(1, 0)])
        self.assertEqual(sl.assign([]), [])
        self.assertEqual(sl.assign([[0, 0]]), [])

    def test_other_walks_are_left_out(self):
        r = record()
        for m in r['remarks']:
            m['source'] = 'walk/small.vtt'
        r['remarks'].append({'id': 's1', 'source': 'walk/other.vtt', 'start': 10, 'end': 16, 'text': 'y'})
        r['findings'] = [{'id': 'z', 'title': 'Clogged gutter', 'evidence': [{'remark': 's1'}]}]
        c = sl.score(r, GOLD)[0]
        self.assertEqual((c['predicted'], c['matched']), (0, 0))

    def test_units_and_fractions(self):
        self.assertTrue(sl.value_fits({'value': '3/16', 'unit': 'inch'}, GOLD['readings'][2]))
        self.assertTrue(sl.value_fits({'value': 0.188, 'unit': 'in'}, GOLD['readings'][2]))
        self.assertFalse(sl.value_fits({'value': 0.2, 'unit': 'in'}, GOLD['readings'][2]))
        self.assertFalse(sl.value_fits({'value': 0.1875, 'unit': 'ft'}, GOLD['readings'][2]))
        self.assertTrue(sl.value_fits({'value': 0, 'unit': 'in'}, {'value': 0, 'unit': 'in'}))
        self.assertEqual(sl.unit_name('°F'), 'degf')

    def test_nothing_at_all(self):
        for empty in ({}, [], None, {'findings': None, 'remarks': None, 'readings': [None], 'limitations': [7]}):
            c, d = sl.score(empty, GOLD)
            self.assertEqual((c['predicted'], c['matched'], c['reading_got']), (0, 0, 0))
            self.assertEqual(sl.figures(c)['f1'], 0.0)
        self.assertEqual(sl.score(record(), {'findings': []})[0]['matched'], 0)


class Command(unittest.TestCase):
    def run_main(self, *argv):
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                code = sl.main(list(argv))
            except SystemExit as stop:
                code = stop.code
        return code, out.getvalue(), err.getvalue()

    def test_one_and_many(self):
        with tempfile.TemporaryDirectory() as tmp:
            gold, out = os.path.join(tmp, 'gold'), os.path.join(tmp, 'out')
            os.makedirs(gold)
            os.makedirs(os.path.join(out, 'small'))
            for name in ('small', 'lost'):
                with open(os.path.join(gold, name + '.gold.json'), 'w', encoding='utf-8') as fh:
                    json.dump(GOLD, fh)
            rec = os.path.join(out, 'small', 'record.json')
            with open(rec, 'w', encoding='utf-8') as fh:
                json.dump(record(), fh)
            code, text, _ = self.run_main(rec, os.path.join(gold, 'small.gold.json'), '--verbose')
            self.assertEqual(code, 0)
            self.assertIn('F1 0.667', text.splitlines()[-1])
            self.assertIn('false inside praise: Roof leak', text)
            self.assertIn('missed at 1:00.0-1:04.0', text)
            code, text, _ = self.run_main('--dir', out, gold)
            last = text.splitlines()[-1]
            self.assertTrue(last.startswith('POOLED over 2'), last)
            self.assertIn('8 gold, 5 predicted, 3 matched', last)
            code, text, _ = self.run_main('--dir', out, gold, '--json')
            self.assertAlmostEqual(json.loads(text)['pooled']['recall'], 3 / 8)
            code, _, err = self.run_main(os.path.join(tmp, 'none.json'), os.path.join(gold, 'small.gold.json'))
            self.assertEqual(code, 2)
            self.assertIn('none.json', err)
            with open(rec, 'w', encoding='utf-8') as fh:
                fh.write('{')
            self.assertEqual(self.run_main(rec, os.path.join(gold, 'small.gold.json'))[0], 2)


if __name__ == '__main__':
    unittest.main()
