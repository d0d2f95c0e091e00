"""The endoscope's lens beside OpenCV's fisheye model, with which it shares the published form."""

import numpy as np

from tests.peers.apart import need
from tests.published.bars import Validation
from tests.validation import within
from tipsim.tissue.endoscope.lens import Lens

LENS = Lens((96, 128), 80.0, (0.1, -0.02, 0.003, 0.001))


def test_places_in_the_picture_are_those_of_opencv(validation: Validation) -> None:
    need("cv2")
    import cv2

    random = np.random.default_rng(3)
    points = random.normal(size=(300, 3))
    points[:, 2] = np.abs(points[:, 2]) + 0.3
    camera = np.array([[80.0, 0, 63.5], [0, 80.0, 47.5], [0, 0, 1]])
    theirs, _ = cv2.fisheye.projectPoints(
        points[:, None], np.zeros(3), np.zeros(3), camera, np.array(LENS.k)
    )
    ours = LENS.project(points)
    assert np.ptp(ours, axis=0).min() > 150
    np.testing.assert_allclose(ours, theirs[:, 0], atol=1e-9)
    ways = LENS.directions(theirs[:, 0])
    np.testing.assert_allclose(ways, points / np.linalg.norm(points, axis=1)[:, None], atol=1e-9)
    off = np.abs(ours - theirs[:, 0]).max() / np.abs(theirs).max()
    validation(
        "Endoscope: places of 300 points in a picture with strong distortion, and back",
        "OpenCV's fisheye model",
        within([float(off)]),
        "1e-9 of a pixel",
        "OpenCV, cv2.fisheye.projectPoints",
    )
