"""Our tracking to a fraction of a pixel beside scikit-image's `phase_cross_correlation`."""

import numpy as np
from scipy import fft, ndimage

from tests.peers.apart import need
from tipsim.motion.camera.tracking import UPSAMPLING, _taper, shifts


def test_shifts_are_those_of_scikit_image() -> None:
    need("skimage")
    from skimage.registration import phase_cross_correlation

    random = np.random.default_rng(11)
    template = ndimage.gaussian_filter(random.normal(size=(19, 19)), 2.0).astype(np.float32) * 100
    moved = np.array(
        [
            ndimage.shift(template, random.uniform(-1.4, 1.4, 2), mode="nearest")
            + random.normal(scale=noise, size=template.shape)
            for noise in np.linspace(0, 5, 60)
        ],
        dtype=np.float32,
    )
    window = np.outer(_taper(19), _taper(19))
    ground = float(np.median(template))
    reference = fft.fft2((template - ground) * window)
    theirs = [
        phase_cross_correlation(
            reference,
            fft.fft2((one - ground) * window),
            upsample_factor=UPSAMPLING,
            space="fourier",
            normalization=None,
        )[0]
        for one in moved
    ]
    assert np.abs(theirs).max() > 1
    np.testing.assert_allclose(shifts(template, moved), -np.array(theirs), atol=1e-9)
