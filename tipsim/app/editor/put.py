"""From the drawing board to the bench: a sleeve that fits, and the link that opens it there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from tipsim.app.bench_state import APART, BenchState
from tipsim.setup import catalogue
from tipsim.setup.errors import BadInput
from tipsim.setup.needle import Needle
from tipsim.setup.scenario import Scenario
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.sourced import number


@dataclass(frozen=True)
class Bench:
    """The bench as it was left, so that what is not touched is found again.

    Attributes
    ----------
    state : BenchState
    view : mapping of str to str
        How the stage was looked at, as items of a link without "view.".
    """

    state: BenchState
    view: Mapping[str, str]

    @classmethod
    def from_items(cls, items: Mapping[str, str]) -> Bench:
        """Read the bench from the items of a link.

        Raises
        ------
        BadInput
            Naming the item, its value and what is allowed.
        """
        view = {
            name.removeprefix("view."): value
            for name, value in items.items()
            if name.startswith("view.") and name != APART
        }
        return cls(BenchState.from_items(items), view)

    def query(self) -> str:
        """Give the query of the link to the bench as it was left."""
        return self.state.to_query(self.view)

    def side(self, side: str) -> Scenario:
        """Give what lies on side "a" or "b"."""
        return self.state.b if side == "b" else self.state.a

    def with_needle(self, side: str, needle: Needle) -> tuple[Bench, str]:
        """Give the bench with a needle on one side, and a sentence about its sleeve.

        Raises
        ------
        BadInput
            When something else on the bench does not go with the needle.
        """
        before = self.side(side)
        sleeve, told = None, "Without a sleeve, as the bench has it."
        if before.sleeve is not None:
            sleeve, told = fitting_sleeve(needle, before.sleeve)
        after = replace(
            before,
            name=f"{needle.id}, {before.drive.kind}",
            needle=needle,
            sleeve=sleeve,
            markers=tuple(m for m in before.markers if m <= needle.length) or (0.0,),
        )
        s = self.state
        state = replace(s, b=after) if side == "b" else replace(s, a=after)
        return replace(self, state=state), told


def fitting_sleeve(needle: Needle, keep: Sleeve | None = None) -> tuple[Sleeve | None, str]:
    """Give the catalogue's sleeve for a needle of this thickness, and a sentence.

    That is the narrowest made for a shaft as thick or thicker, so that the gap is the
    catalogue's: a narrower one may pass over the shaft too, but its water weighs more and the
    needle moves differently. Where none is, the widest that fits.

    Parameters
    ----------
    needle : Needle
    keep : Sleeve, optional
        Its mobility and exposed length are kept where they can be.

    Examples
    --------
    >>> sleeve, told = fitting_sleeve(catalogue.needle("straight-0.9"))
    >>> sleeve.id, told
    ('for-0.9', 'In the sleeve for 0.9 mm.')
    """
    refused = ""
    for sleeve in _tried(needle, keep):
        try:
            sleeve.fits(needle)
        except BadInput as bad:
            what = bad.field.removeprefix("sleeve.").removesuffix("_mm").replace("_", " ")
            refused = refused or f"{what} is {bad.value}"
            continue
        return sleeve, f"In the {sleeve.title[0].lower()}{sleeve.title[1:]}."
    return None, f"Without a sleeve: none of the catalogue fits ({refused})."


def _tried(needle: Needle, keep: Sleeve | None) -> Iterator[Sleeve]:
    """Give the sleeves in the order in which they are tried."""
    c = catalogue.catalogue()
    widest_first = sorted(c.sleeves.values(), key=lambda s: -s.inner_radius)
    made_for = {c.sleeve_for[id]: n.outer_radius for id, n in c.needles.items()}
    roomy = [s for s in widest_first if made_for[s.id] >= needle.outer_radius - 1e-9]
    order = list(dict.fromkeys([*reversed(roomy), *widest_first]))
    if keep is not None:
        for sleeve in order:
            yield replace(sleeve, mobility=keep.mobility, exposed=keep.exposed)
    yield from order


def trial(needle: Needle) -> tuple[Scenario, str]:
    """Put a needle under the catalogue's torsional drive, and say what sleeve it has."""
    sleeve, told = fitting_sleeve(needle)
    scenario = Scenario(
        name=f"{needle.id}, torsional",
        needle=needle,
        sleeve=sleeve,
        drive=catalogue.drive("torsional"),
        fluid=catalogue.fluid(),
        loss_factor=number("motion.loss_factor").si,
        spacing=number("motion.spacing").si,
        markers=(0.0,),
    )
    return scenario, told
