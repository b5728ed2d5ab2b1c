"""The command line as a person meets it: clear lines, the right exit, never a traceback."""

from __future__ import annotations

import hashlib
import json
import os
import pty
import signal
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest

from kingpost import cli
from tests.conftest import HOUSE, WALK, MakeVisit, jpeg

KINGPOST = (sys.executable, "-m", "kingpost.cli")


def run(
    *args: str | Path, cwd: Path | None = None, env: Mapping[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    done = subprocess.run(
        [*KINGPOST, *map(str, args)],
        capture_output=True,
        text=True,
        cwd=cwd,
        env={**os.environ, **(env or {})},
        timeout=300,
    )
    assert "Traceback" not in done.stdout + done.stderr, done.stderr
    return done


BROKEN: dict[str, tuple[dict[str, str | bytes], list[str]]] = {
    "no visit.toml": ({"visit.toml": ""}, ["visit.toml: is not there; write one; `kingpost new visit` makes one"]),
    "broken visit.toml": (
        {"visit.toml": "[house]\nname = Alder Row\n"},
        ['visit.toml:2: "name = Alder Row" is not TOML (Invalid value); write key = value, with words in quotes'],
    ),
    "binary visit.toml": ({"visit.toml": b"\0\1\2"}, ["visit.toml: is not text"]),
    "nothing to read": ({"walk/walk.vtt": ""}, ["visit: holds no words, no pictures and no readings that can be used"]),
    "nothing that can be used": (
        {"walk/walk.vtt": "", "walk/a.mp3": b"x", "photos/a.jpg": b"x", "readings.csv": "where\nx\n"},
        [
            "walk/a.mp3: cannot be decoded",
            "photos/a.jpg: is not a picture, or is damaged",
            'readings.csv:1: unknown column "where"',
            "readings.csv:1: has no column quantity and no column value",
            "visit: holds no words",
        ],
    ),
}


@pytest.mark.parametrize(("files", "said"), BROKEN.values(), ids=BROKEN)
def test_a_visit_that_cannot_be_used_ends_with_2_and_a_line_a_fault(
    make_visit: MakeVisit, tmp_path: Path, files: dict[str, str | bytes], said: list[str]
) -> None:
    done = run("report", make_visit(files), "-o", tmp_path / "out")
    assert (done.returncode, done.stdout) == (2, "")
    lines = done.stderr.splitlines()
    assert len(lines) == len(said)
    assert [line.startswith(start) for line, start in zip(lines, said, strict=True)] == [True] * len(said), lines
    assert not (tmp_path / "out").exists()


ARGUMENTS: dict[str, tuple[list[str], str]] = {
    "no command": ([], "the following arguments are required: COMMAND"),
    "no such command": (["inspect"], "invalid choice: 'inspect'"),
    "no out": (["report", "visit"], "the following arguments are required: -o"),
    "no such visit": (["report", "nowhere", "-o", "out"], "nowhere: is not there; give the folder of a visit"),
    "a file for a visit": (["report", "visit/visit.toml", "-o", "out"], "visit/visit.toml: is not a folder"),
    "out is a file": (["report", "visit", "-o", "visit/visit.toml"], "visit.toml: cannot be written (file exists)"),
    "out below a file": (["report", "visit", "-o", "visit/visit.toml/a"], "cannot be written (not a directory)"),
    "out is the visit": (
        ["report", "visit", "-o", "visit"],
        "visit: is the visit itself; choose another folder for -o",
    ),
    "out cannot be made": (["report", "visit", "-o", "/proc/out"], "/proc/out: cannot be written"),
    "no such trade": (["report", "visit", "-o", "out", "--trade", "x"], "x: is not a folder of trade data"),
    "no such transcript": (["listen", "nowhere.vtt"], "nowhere.vtt: cannot be read (no such file or directory)"),
    "a folder to listen to": (["listen", "visit"], "visit: is not an ordinary file"),
    "sound to listen to": (["listen", "walk.m4a"], "walk.m4a: cannot be used (no such file or directory)"),
    "listen over itself": (["listen", "visit/walk/walk.vtt", "-o", "visit/walk/walk.vtt"], "is what is listened to"),
    "listen into nothing": (["listen", "visit/walk/walk.vtt", "-o", "no/f.vtt"], "no/f.vtt: cannot be written"),
    "no check": (["check"], "no check is named; `kingpost check --list` names them all"),
    "no such check": (["check", "nosuchthing"], 'check "nosuchthing" is not known'),
    "no equals sign": (["check", "handrail", "height"], "height"),
    "new over something": (["new", "visit"], "visit: already holds something"),
    "new below a file": (["new", "visit/visit.toml/x"], "cannot be written (not a directory)"),
}


@pytest.mark.parametrize(("args", "said"), ARGUMENTS.values(), ids=ARGUMENTS)
def test_arguments_that_cannot_be_used_end_with_2(make_visit: MakeVisit, args: list[str], said: str) -> None:
    folder = make_visit({})
    done = run(*args, cwd=folder.parent)
    assert done.returncode == 2, done.stderr
    assert said in done.stderr
    assert done.stdout == ""


BAD_FILES: dict[str, str | bytes] = {  # every kind, beside one good walk and one good picture
    "visit.toml": HOUSE.replace("built = 1964", "bilt = 1964\nstoreys = 'two'").encode("cp1252"),
    "walk/binary.vtt": bytes(range(256)) * 40,
    "walk/noise.txt": b"rot sill wet leak " * 60_000,
    "walk/late.srt": "1\n00:00:61,5 --> 00:00:02,0\nwords\n",
    "walk/latin.txt": "Le ch\xe2let est humide.".encode("cp1252"),
    "walk/sound.ogg": b"OggS",
    "photos/text.jpg": "not a picture",
    "photos/cut.jpg": jpeg(size=(300, 200))[:-200],
    "photos/clip.mov": b"x",
    "thermal/a.tif": b"x",
    "readings.csv": 'quantity,value,unit\nriser,8 1/4,in\nriser,"8\nriser,7.5,in,extra\n',
    "decisions.jsonl": '{"id": 1}\nnot json\n',
    "journal/phone.jsonl": '{"id": "d1", "subject": "f1", "verb": "agree", "at": "now"}\n',
    "plan.toml": "x = 1\n",
}


def test_everything_wrong_at_once_is_named_and_the_report_is_made(make_visit: MakeVisit, tmp_path: Path) -> None:
    folder = make_visit({**BAD_FILES, "photos/good.jpg": jpeg(), "walk/inner/a.vtt": "x"})
    (folder / "photos/empty.jpg").touch()
    (folder / "walk/loop.vtt").symlink_to("loop.vtt")
    done = run("report", folder, "-o", tmp_path / "out", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    summary = json.loads(done.stdout)
    named = {trouble["file"] for trouble in summary["trouble"]}
    assert named >= {*BAD_FILES, "photos/empty.jpg", "walk/loop.vtt"}
    assert all(trouble["problem"] and trouble["mend"] for trouble in summary["trouble"])
    assert summary["photos"] == 1
    record = json.loads((tmp_path / "out/record.json").read_text(encoding="utf-8"))
    assert record["trouble"] == summary["trouble"]
    said = " ".join(remark["text"] for remark in record["remarks"])
    assert "The sill plate on the north wall is rotted through." in said
    assert "Le châlet est humide." in said


def here(capsys: pytest.CaptureFixture[str], *args: str | Path) -> tuple[int, str, str]:
    """The same door in this process, where the trade data is already loaded: exit, output, errors."""
    code = cli.main([str(arg) for arg in args])
    out, err = capsys.readouterr()
    return code, out, err


def test_what_is_printed_after_a_report(
    make_visit: MakeVisit, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = here(capsys, "report", make_visit({"photos/a.jpg": jpeg()}), "-o", "out", "--no-pdf")
    assert (code, err) == (0, "")
    first, second, *_, last = out.splitlines()
    assert first.split(" remark")[0].isdigit()
    assert "1 photo, " in first
    assert "no word unaccounted for" in first or "loose end" in first
    assert " for information; " in second
    assert "in pencil: a draft until you decide on each" in out
    assert sorted(last.split()) == ["out/record.json", "out/report.html"]
    assert sorted(p.name for p in (tmp_path / "out").iterdir()) == ["record.json", "report.html"]


def test_a_final_report_waits_until_every_finding_is_decided(
    make_visit: MakeVisit, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, asked = make_visit({}), ("-o", tmp_path / "out", "--no-pdf", "--json")
    code, out, err = here(capsys, "report", folder, *asked, "--final")
    told = json.loads(out)
    assert (code, told["ok"], told["says"]) == (2, False, err.splitlines())
    assert "pencil" in told["says"][0]
    assert not (tmp_path / "out/report.html").exists()

    assert here(capsys, "report", folder, *asked)[0] == 0
    findings = json.loads((tmp_path / "out/record.json").read_text())["findings"]
    assert findings
    accept = {"verb": "accept", "at": "2026-05-12T18:00:00-05:00"}
    lines = [json.dumps({"id": f"d{n}", "subject": f["id"], **accept}) for n, f in enumerate(findings)]
    (folder / "decisions.jsonl").write_text("\n".join(lines))
    code, out, err = here(capsys, "report", folder, *asked, "--final")
    assert (code, err) == (0, "")
    assert (json.loads(out)["pencil"], json.loads(out)["draft"]) == (0, False)


def test_same_folder_same_bytes_in_two_fresh_interpreters(make_visit: MakeVisit, tmp_path: Path) -> None:
    folder = make_visit(
        {
            "photos/b.jpg": jpeg("2026:05:12 09:00:22", size=(640, 480)),
            "photos/a.jpg": jpeg("2026:05:12 09:00:12", orientation=6),
            "readings.csv": "quantity,value,unit,place\nmoisture_content,28,%,crawl space\n",
            "walk/second.txt": "Kitchen. The receptacle by the sink is dead.",
            "plan.toml": "x = 1\n",
        }
    )
    made = []
    for number, (seed, zone, language) in enumerate((("1", "UTC", "C"), ("2", "Asia/Kolkata", "C.UTF-8"))):
        cwd = tmp_path / f"cwd{number}"
        cwd.mkdir()
        env = {"PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": language, "COLUMNS": str(60 + number)}
        visit = folder if number else Path(os.path.relpath(folder, cwd))
        assert run("report", visit, "-o", "out", cwd=cwd, env=env).returncode == 0
        made.append({p.name: hashlib.sha256(p.read_bytes()).hexdigest() for p in sorted((cwd / "out").iterdir())})
    assert set(made[0]) == {"record.json", "report.html", "report.pdf"}
    assert made[0] == made[1]


def test_another_standard_for_one_report(
    make_visit: MakeVisit, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = here(capsys, "report", make_visit({}), "-o", tmp_path, "--no-pdf", "--standard", "nc")
    assert (code, err) == (0, "")
    assert json.loads((tmp_path / "record.json").read_text())["visit"]["standards"] == ["nc"]


@pytest.mark.parametrize("own", [True, False], ids=["the visit's own", "a firm's"])
def test_trade_data_with_a_fault_is_named_by_line(
    make_visit: MakeVisit, tmp_path: Path, capsys: pytest.CaptureFixture[str], own: bool
) -> None:
    folder = make_visit({})
    trade = folder / "trade" if own else tmp_path / "firm"
    trade.mkdir()
    (trade / "places.toml").write_text('[[place]]\nid = "annex"\nname = "annex"\nlevel = "sky"\nsaid = ["annex"]\n')
    firm: list[str | Path] = [] if own else ["--trade", trade]
    code, out, err = here(capsys, "report", folder, "-o", tmp_path / "out", "--no-pdf", *firm)
    assert (code, out) == (2, "")
    assert err.startswith('places.toml:4: level "sky" is not known; write one of roof, attic')


def test_listen_shows_remarks_and_drafts_and_writes_the_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.chdir(tmp_path)
    Path("words.txt").write_text("Crawl space. The sill plate on the north wall is rotted through.")
    code, out, err = here(capsys, "listen", "words.txt", "-o", "words.vtt")
    assert (code, err) == (0, "")
    assert "0:00:0" in out and "\x1b" not in out
    assert "sill plate on the north" in " ".join(out.split())
    assert " draft finding" in out
    assert all(len(line) <= 100 for line in out.splitlines())
    assert Path("words.vtt").read_text().startswith("WEBVTT\n\n00:00:00.000 --> 00:00:")


def test_check_answers_in_words_and_in_json() -> None:
    listed = run("check", "--list")
    assert listed.returncode == 0
    assert "lot-grade-fall" in listed.stdout
    asked = ("check", "lot-grade-fall", "fall=2.0in+-0.5in", "run=10ft")
    words, told = run(*asked), run(*asked, "--json")
    assert (words.returncode, told.returncode) == (0, 0), words.stderr + told.stderr
    assert "falls short" in words.stdout
    answer = json.loads(told.stdout)
    assert {"check", "inputs", "computed", "required", "verdict", "probability", "standing", "in_force_when_built",
            "sources", "says", "caution", "missing"} <= set(answer)  # fmt: skip


def test_new_makes_a_folder_that_only_wants_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    code, out, err = here(capsys, "new", "visit")
    assert (code, err) == (0, "")
    assert out.splitlines()[-1] == (
        "fill in visit.toml, add words, pictures or readings, then: kingpost report visit -o OUT"
    )
    assert here(capsys, "report", "visit", "-o", "out")[0] == 2
    Path("visit/walk/walk.vtt").write_text(WALK)
    assert here(capsys, "report", "visit", "-o", "out", "--no-pdf")[0] == 0


def test_version_is_quick_and_loads_no_room() -> None:
    done = subprocess.run(
        [sys.executable, "-X", "importtime", "-m", "kingpost.cli", "--version"],
        capture_output=True,
        text=True,
        timeout=60,
    )
    assert done.stdout.startswith("kingpost ")
    assert not [
        line for line in done.stderr.splitlines() if "kingpost.visit" in line or "PIL" in line or "webvtt" in line
    ]


def test_a_reader_that_goes_away_ends_it_quietly(tmp_path: Path) -> None:
    command = f"{sys.executable} -m kingpost.cli check --list | head -1"
    done = subprocess.run(["bash", "-c", f"set -o pipefail; {command}"], capture_output=True, text=True, timeout=60)
    assert len(done.stdout.splitlines()) == 1
    assert done.stderr == ""
    assert done.returncode in (0, 141)


def test_ctrl_c_stops_with_one_word(make_visit: MakeVisit, tmp_path: Path) -> None:
    """Stopped while it waits for a visit on a slow disk: a pipe that nobody fills stands for it."""
    folder = make_visit({})
    code = (
        "import signal, sys, kingpost.visit, kingpost.cli, time\n"
        "signal.signal(signal.SIGINT, signal.default_int_handler)\n"  # a test run in the background inherits none
        "def slow(folder, hearings=None):\n    print('reading', flush=True)\n    time.sleep(60)\n"
        "kingpost.visit.read = slow\n"
        "sys.exit(kingpost.cli.main(sys.argv[1:]))"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code, "report", str(folder), "-o", str(tmp_path / "out")],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    ) as going:  # fmt: skip
        assert going.stdout is not None
        assert going.stdout.readline() == "reading\n"
        going.send_signal(signal.SIGINT)
        _, err = going.communicate(timeout=30)
    assert (going.returncode, err) == (130, "stopped\n")


def test_a_fault_of_ours_is_one_line_that_names_the_step(make_visit: MakeVisit, tmp_path: Path) -> None:
    code = (
        "import sys, kingpost.visit, kingpost.cli\n"
        "def broken(folder, hearings=None):\n    raise RuntimeError('a surprise')\n"
        "kingpost.visit.read = broken\n"
        "sys.exit(kingpost.cli.main(sys.argv[1:]))"
    )
    command = [sys.executable, "-c", code, "report", str(make_visit({})), "-o", str(tmp_path / "out")]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert (done.returncode, done.stderr) == (
        1,
        "reading the visit: RuntimeError; this is a fault in Kingpost; run again with KINGPOST_DEBUG=1 for details\n",
    )
    shown = subprocess.run(
        command, capture_output=True, text=True, timeout=60, env={**os.environ, "KINGPOST_DEBUG": "1"}
    )
    assert "Traceback" in shown.stderr
    assert "a surprise" in shown.stderr


def test_progress_is_shown_on_a_terminal_only_and_wiped(make_visit: MakeVisit, tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    done = subprocess.run(
        [*KINGPOST, "report", str(make_visit({"visit.toml": ""})), "-o", str(tmp_path / "out")],
        stderr=theirs,
        timeout=60,
    )
    os.close(theirs)
    shown = os.read(ours, 65_536).decode()
    os.close(ours)
    assert done.returncode == 2
    assert "reading the visit ..." in shown
    assert shown.rsplit("\x1b[K", 1)[1].startswith("visit.toml: is not there")
