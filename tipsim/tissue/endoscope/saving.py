"""A film through the endoscope with its truth and what was read, ready to be written."""

import numpy as np

from tipsim.saved import Column, Levels, Saved, Stack
from tipsim.saved.card import NO_FILM, Card, Instrument, card
from tipsim.setup.scenario import Scenario
from tipsim.setup.units import MM, PERCENT, SECOND, UM
from tipsim.tissue.endoscope.film import FULL_LIGHT
from tipsim.tissue.endoscope.lens import lens
from tipsim.tissue.endoscope.measure import Study

UNCONTROLLED = (
    "how evenly the light falls",
    "the iris's shape, a flat sheet here",
    "how many specks a contact sets free, a scale of the picture",
)


def methods(scenario: Scenario, *, taken: bool = True) -> Card:
    """Return the methods card of a bench's film, or of none where none could be taken."""
    setting = scenario.endoscope
    pixel = UM.show(setting.distance / lens(setting).focal, 3)
    where = f"{MM.show(setting.distance)} before the lens in the middle of the picture"
    return card(
        scenario,
        Instrument("an endoscope in the chamber", setting),
        scale=f"one pixel is {pixel} at {where}",
        runs=f"1 film of {setting.count} pictures; its chance follows from the seed"
        if taken
        else NO_FILM,
        uncontrolled=UNCONTROLLED,
    )


def saved(study: Study) -> Saved:
    """Return all that is saved of a film."""
    film, count, light, blur = study.film, study.count, study.brightness, study.blur
    number = np.arange(1, len(film.time) + 1)
    one = [blur.seen], [blur.bar], [blur.true]
    return Saved(
        name="endoscope",
        scenario=film.scenario,
        instrument=film.setting,
        film=Stack("film", "The sleeve, its mark, the iris and specks.", film.pictures),
        more=(
            Stack("rest", "The same with the drive off.", film.stills),
            Stack("trial", "The drive off, specks of a known number.", film.trial),
        ),
        levels=Levels(f"brightness; {FULL_LIGHT} is white, 255 the most"),
        time=film.time + film.setting.exposure / 2,
        pixel=film.setting.distance / film.look.lens.focal,
        card=methods(film.scenario),
        truth=(
            Column("picture", "number of the picture, from 1", number),
            Column("time", "middle of its exposure", film.time + film.setting.exposure / 2, SECOND),
            Column("gap", "true gap of iris and sleeve", film.gap, MM),
            Column("specks_true", "specks in the counted area", count.true),
            Column("specks_read", "specks by the program's count", count.seen),
            Column("specks_bar", "its error bar, either way, 95 %", count.bar),
            Column("region_true", "light that specks take in the region", light.true, PERCENT),
            Column("region_read", "region darker than at rest", light.seen, PERCENT),
        ),
        readings=(
            Column("stroke_read", "stroke by the mark's blur", one[0], UM),
            Column("stroke_bar", "its error bar, either way, 95 %", one[1], UM),
            Column("stroke_true", "stroke of the sleeve at the mark", one[2], UM),
            Column("release_read", "specks set free, relative, by the count", [study.counted]),
            Column("release_true", "specks set free, relative, in the film", [study.released]),
            Column("release_expected", "the same in the long run", [study.expected]),
        ),
    )
