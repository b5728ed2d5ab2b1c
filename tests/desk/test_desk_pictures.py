"""Pictures of a visit folder for the desk: small upright copies, and a length beside the marker card."""

from __future__ import annotations

import io
from typing import Any

import pytest
from PIL import Image

from tests.conftest import jpeg

from .conftest import V


def put(client: Any, name: str, content: bytes) -> None:
    at = client.app.state.desk.store.folder(V) / "photos" / name
    at.parent.mkdir(exist_ok=True)
    at.write_bytes(content)


def test_a_copy_is_small_and_upright_and_says_nothing_about_its_camera(client: Any) -> None:
    put(client, "a.jpg", jpeg(size=(640, 480), orientation=6))
    told = client.get(f"/api/1/visits/{V}/files/photos/a.jpg", params={"size": 320})
    assert (told.status_code, told.headers["content-type"]) == (200, "image/jpeg")
    copy = Image.open(io.BytesIO(told.content))
    assert copy.size == (240, 320)
    assert not copy.getexif()
    assert client.get(f"/api/1/visits/{V}/files/photos/a.jpg").content != told.content


def test_what_is_no_picture_has_no_copy(client: Any) -> None:
    put(client, "b.jpg", b"not a picture")
    told = client.get(f"/api/1/visits/{V}/files/photos/b.jpg", params={"size": 320})
    assert (told.status_code, told.json()["error"]["where"]) == (422, "photos/b.jpg")
    assert client.get(f"/api/1/visits/{V}/files/photos/b.jpg", params={"size": 7}).status_code == 400


def test_a_length_beside_the_card_holds_the_truth_of_the_drawn_scene(client: Any) -> None:
    pytest.importorskip("cv2")
    import numpy as np

    from tests.look.test_strip import TRUE_MM, ends
    from tests.look.views import Camera, paper

    camera = Camera(650, turn=28, tilt=8)
    pixels = camera.picture(paper(), np.random.default_rng(2), 0.7, 3)
    out = io.BytesIO()
    Image.fromarray(pixels).save(out, "PNG")
    put(client, "c.png", out.getvalue())
    high, wide = pixels.shape[:2]
    start, end = ([(x + 0.5) / wide, (y + 0.5) / high] for x, y in ends(camera))
    told = client.post(f"/api/1/visits/{V}/measure", json={"photo": "photos/c.png", "from": start, "to": end}).json()
    assert abs(told["mm"] - TRUE_MM) <= told["doubt_mm"] < 0.03 * TRUE_MM
    assert told["inches"] == pytest.approx(told["mm"] / 25.4)
    assert "plane of the strip" in told["note"]


@pytest.mark.parametrize(
    ("said", "status"),
    [
        ({"photo": "photos/a.jpg", "from": [0.1, 0.1], "to": [0.5, 0.5]}, 422),  # no card in it
        ({"photo": "photos/none.jpg", "from": [0.1, 0.1], "to": [0.5, 0.5]}, 404),
        ({"photo": "../visit.toml", "from": [0.1, 0.1], "to": [0.5, 0.5]}, 404),
        ({"photo": "photos/a.jpg", "from": [0.1, 1.1], "to": [0.5, 0.5]}, 400),
        ({"photo": "photos/a.jpg", "from": [0.1, True], "to": [0.5, 0.5]}, 400),
        ({"photo": 3, "from": [0.1, 0.1], "to": [0.5, 0.5]}, 400),
    ],
)
def test_no_length_is_told_where_there_is_none(client: Any, said: dict[str, Any], status: int) -> None:
    put(client, "a.jpg", jpeg(size=(640, 480)))
    told = client.post(f"/api/1/visits/{V}/measure", json=said)
    assert (told.status_code, set(told.json()["error"])) == (status, {"code", "problem", "mend", "where"})
