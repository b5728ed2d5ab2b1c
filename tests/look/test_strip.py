"""The strip and what is measured by it. The truth is a rendered plane and camera; OpenCV holds the tags and the map."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import cv2
import numpy as np
import pikepdf
import pytest
from PIL import Image

from kingpost import cli
from kingpost.look import strip
from kingpost.look.strip_measure import across, homography, length, measure, without_one
from kingpost.look.strip_tags import Found, MeasureError, find

from .views import Camera, paper

ENDS = np.array([[-110.0, 70.0], [90.0, 55.0]])
TRUE_MM = float(np.hypot(200.0, 15.0))


@pytest.fixture(scope="module")
def seen() -> tuple[Camera, np.ndarray, Found]:
    camera = Camera(650, turn=28, tilt=8, lens=0.01)
    picture = camera.picture(paper(), np.random.default_rng(2), 0.7, 3)
    return camera, picture, find(picture)


def ends(camera: Camera, points: np.ndarray = ENDS) -> tuple[tuple[float, float], tuple[float, float]]:
    (a, b), (c, d) = camera.see(points).tolist()
    return (a, b), (c, d)


@pytest.mark.parametrize("number", strip.TAGS)
def test_the_tags_are_those_of_the_open_set(number: int) -> None:
    kind = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    rows = cv2.aruco.generateImageMarker(kind, number, 8)
    assert tuple("".join("1" if v else "0" for v in row) for row in rows) == strip.TAGS[number]


@pytest.mark.parametrize("paper_name", strip.PAPER_MM)
def test_the_page_is_found_at_true_size(paper_name: str, tmp_path: Path) -> None:
    """Drawn by another program at 150 dots to the inch, the tags lie where they should to a fifth of a millimetre."""
    import subprocess

    file = tmp_path / "strip.pdf"
    file.write_bytes(strip.pdf(paper_name))
    with pikepdf.open(file) as opened:
        width, height = (float(v) * 25.4 / 72 for v in opened.pages[0].MediaBox[2:])
    assert (width, height) == pytest.approx(strip.PAPER_MM[paper_name], abs=0.01)
    subprocess.run(["pdftoppm", "-r", "150", "-gray", "-png", "-singlefile", file, tmp_path / "page"], check=True)
    found = find(np.asarray(Image.open(tmp_path / "page.png").convert("L")))
    mm = (found.corners + 0.5) * 25.4 / 150
    drawn = np.array([s.corners() for s in found.squares])
    assert len(drawn) == 2
    assert np.abs((mm - mm[0, 0]) - (drawn - drawn[0, 0])).max() < 0.2


def test_the_map_is_that_of_another_program() -> None:
    rng = np.random.default_rng(3)
    of = rng.uniform(0, 2000, (8, 2))
    to = across(np.array([[0.2, 0.01, 3], [-0.02, 0.3, 9], [1e-5, 2e-5, 1]]), of) + rng.normal(0, 0.01, (8, 2))
    theirs, _ = cv2.findHomography(of, to)
    assert np.abs(across(homography(of, to), of) - across(theirs, of)).max() < 0.02


def test_a_length_holds_the_truth_within_its_doubt(seen: tuple[Camera, np.ndarray, Found]) -> None:
    camera, _, found = seen
    made = length(found, *ends(camera))
    assert abs(made.mm - TRUE_MM) <= made.doubt_mm < 5.0
    assert made.tags == 2
    assert made.angle_deg == pytest.approx(29, abs=4)
    assert sum(v for _, v in made.shares) == pytest.approx(1.0)


@pytest.mark.parametrize("gone", [0, 1])
@pytest.mark.parametrize("turn", [0, -20, -40, -55])
def test_one_tag_serves_with_a_wider_doubt(turn: float, gone: int) -> None:
    camera = Camera(520, turn=turn, lens=-0.01, size=(3024, 2268))
    found = find(camera.picture(paper(), np.random.default_rng(8), 0.8, 2))
    both, one = length(found, *ends(camera)), length(without_one(found, gone), *ends(camera))
    assert one.doubt_mm > both.doubt_mm
    assert abs(one.mm - TRUE_MM) <= one.doubt_mm


def test_seen_straight_on_the_far_tag_alone_is_half_as_doubtful_again() -> None:
    camera = Camera(520, lens=-0.01, size=(3024, 2268))
    found = find(camera.picture(paper(), np.random.default_rng(8), 0.8, 2))
    both, one = length(found, *ends(camera)), length(without_one(found, 1), *ends(camera))
    assert one.doubt_mm > 1.5 * both.doubt_mm


def test_doubt_grows_with_angle_distance_and_click() -> None:
    drawn, rng = paper(), np.random.default_rng(4)

    def doubt(camera: Camera, click: float = 1.5) -> float:
        return length(find(camera.picture(drawn, rng, 0.6, 2)), *ends(camera), click).doubt_mm

    near = doubt(Camera(600))
    assert doubt(Camera(600, turn=50)) > near
    assert doubt(Camera(1000)) > near
    assert doubt(Camera(600), click=4.0) > near


def test_what_cannot_be_told_is_refused(seen: tuple[Camera, np.ndarray, Found]) -> None:
    camera, _, found = seen
    drawn, rng = paper(), np.random.default_rng(6)
    with pytest.raises(MeasureError, match="no tag"):
        find(np.full((300, 400), 128, dtype=np.uint8))
    with pytest.raises(MeasureError, match="too small"):
        length(find(Camera(2500).picture(drawn, rng, 0.5, 1)), *ends(Camera(2500)))
    steep = Camera(500, turn=73, size=(3024, 2268))
    with pytest.raises(MeasureError, match="oblique"):
        length(find(steep.picture(drawn, rng, 0.3, 1)), (1500.0, 1100.0), (1520.0, 1100.0))
    with pytest.raises(MeasureError, match="outside the picture"):
        length(found, (-20.0, 5.0), (10.0, 10.0))
    with pytest.raises(MeasureError, match="the same point"):
        length(found, (1000.0, 700.0), (1000.0, 700.0))
    with pytest.raises(MeasureError, match="cannot tell"):
        length(found, (1000.0, 700.0), (1004.0, 700.0))
    bent = Found(found.squares, found.corners + np.array([[[0.0, 0.0]], [[0.0, 60.0]]]), found.width, found.height)
    crooked = bent.corners.copy()
    crooked[1, 0] += [25, 25]
    with pytest.raises(MeasureError, match="lay the strip flat"):
        length(Found(found.squares, crooked, found.width, found.height), *ends(camera))


def test_the_print_is_taken_into_account(seen: tuple[Camera, np.ndarray, Found], tmp_path: Path) -> None:
    camera, picture, _ = seen
    Image.fromarray(picture).save(tmp_path / "p.png")
    plain = measure(tmp_path / "p.png", *ends(camera))
    small = measure(tmp_path / "p.png", *ends(camera), check_line_mm=97.0)
    assert small.mm == pytest.approx(plain.mm * 0.97, rel=1e-6)
    with pytest.raises(MeasureError, match="print the strip again"):
        measure(tmp_path / "p.png", *ends(camera), check_line_mm=80.0)


def test_points_count_in_the_upright_picture(seen: tuple[Camera, np.ndarray, Found], tmp_path: Path) -> None:
    camera, picture, _ = seen
    lying = Image.fromarray(picture).transpose(Image.Transpose.ROTATE_90)
    exif = Image.Exif()
    exif[0x0112] = 6
    lying.save(tmp_path / "p.jpg", quality=95, exif=exif)
    assert measure(tmp_path / "p.jpg", *ends(camera)).mm == pytest.approx(TRUE_MM, abs=3)


def test_the_commands(
    seen: tuple[Camera, np.ndarray, Found], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    camera, picture, _ = seen
    photo = tmp_path / "p.png"
    Image.fromarray(picture).save(photo)
    (a, b), (c, d) = ends(camera)
    assert cli.main(["strip", "-o", str(tmp_path / "s.pdf"), "--paper", "a4"]) == 0
    assert (tmp_path / "s.pdf").read_bytes() == strip.pdf("a4")
    asked = ["measure", str(photo), "--from", f"{a},{b}", "--to", f"{c},{d}"]
    capsys.readouterr()
    assert cli.main([*asked, "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert abs(said["mm"] - TRUE_MM) <= said["doubt_mm"]
    assert "plane" in said["note"]
    assert cli.main(["measure", str(tmp_path / "none.jpg"), "--from", "1,1", "--to", "2,2"]) == 2
    assert "is not there" in capsys.readouterr().err


def test_a_picture_of_100_mp_is_measured_in_silence(
    seen: tuple[Camera, np.ndarray, Found], tmp_path: Path, recwarn: pytest.WarningsRecorder
) -> None:
    camera, picture, _ = seen
    Image.fromarray(picture).resize((11_592, 8_694)).save(tmp_path / "p.jpg", quality=85)
    (a, b), (c, d) = ((((x + 0.5) * 5.75 - 0.5), ((y + 0.5) * 5.75 - 0.5)) for x, y in ends(camera))
    made = measure(tmp_path / "p.jpg", (a, b), (c, d))
    assert abs(made.mm - TRUE_MM) <= made.doubt_mm
    assert not list(recwarn)


# The picture, what else is given, and what the answer must name: the fault and the mend.
REFUSED = [
    ("none.jpg", (), "is not there"),
    ("folder", (), "is a folder; give one photo"),
    ("empty.jpg", (), "is empty; copy it from the camera once more"),
    ("cut.jpg", (), "cut short; copy it from the camera once more"),
    ("words.jpg", (), "no picture"),
    ("wall.png", (), "no tag of the strip is found; both must be whole"),
    ("wall.heic", (), "no tag of the strip is found; both must be whole"),
    ("card.png", (), "not of our strip; say how long its black side is, as --tag-mm 100"),
    ("p.png", ("--tag-mm", "60"), "cover all but one, or leave --tag-mm out"),
    ("p.png", ("--tag-mm", "0"), "5 to 1000 mm"),
    ("p.png", ("--check-line", "80"), "print the strip again"),
    ("one.png", (), "the one tag that is found is 129 px long, too small to measure by (150); go closer"),
    ("p.png", ("--to", "900,1600"), "1600,900 is inside: are the two swapped?"),
    ("p.png", ("--to", "-5,900"), "count from its top left corner"),
    ("p.png", ("--to", "900"), "write it as 120,88"),
    ("p.png", ("--to", "nan,1"), "write it as 120,88"),
]


@pytest.fixture(scope="module")
def shots(seen: tuple[Camera, np.ndarray, Found], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Pictures as an inspector may have them at hand."""
    camera, picture, _ = seen
    folder = tmp_path_factory.mktemp("shots")
    Image.fromarray(picture).save(folder / "p.png")
    Image.fromarray(picture).save(folder / "cut.jpg", quality=95)
    (folder / "cut.jpg").write_bytes((folder / "cut.jpg").read_bytes()[:50_000])
    (folder / "empty.jpg").touch()
    (folder / "words.jpg").write_text("not a picture")
    (folder / "folder").mkdir()
    Image.fromarray(camera.picture(paper((0,)), np.random.default_rng(2), 0.7, 3)).save(folder / "one.png")
    Image.new("L", (2016, 1512), 150).save(folder / "wall.png")
    shutil.copy(Path(__file__).parents[1] / "visit" / "computed.heic", folder / "wall.heic")
    card = np.full((1512, 2016), 238, dtype=np.uint8)
    kind = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    card[600:900, 800:1100] = cv2.aruco.generateImageMarker(kind, 7, 300)
    Image.fromarray(card).save(folder / "card.png")
    return folder


@pytest.mark.parametrize(("photo", "more", "says"), REFUSED)
def test_every_refusal_names_the_fault_and_the_mend(
    shots: Path, photo: str, more: tuple[str, ...], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    try:
        code: object = cli.main(["measure", str(shots / photo), "--from", "700,700", "--to", "1100,800", *more])
    except SystemExit as err:  # what argparse refuses
        code = err.code
    told = capsys.readouterr()
    assert code == 2
    assert says in told.err
    assert not told.out and "Traceback" not in told.err
