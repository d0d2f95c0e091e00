"""All that lies on the bench, in one frozen object."""

from collections.abc import Callable
from dataclasses import dataclass
from html import escape
from pathlib import Path
from typing import Any, ClassVar, Self

import tomli_w

from tipsim.setup.ceilings import Ceilings
from tipsim.setup.drive import Drive, Duty
from tipsim.setup.endoscope import Endoscope
from tipsim.setup.errors import BadInput
from tipsim.setup.event import Event
from tipsim.setup.eye import Eye
from tipsim.setup.fields import Declared, numbers, part, parts, quantity, sourced, words
from tipsim.setup.flow import Flow, Fluid, Lines, Trial
from tipsim.setup.heat import Chamber, Incision, Rubbing, Squeeze, Thermal, Viscoelastic
from tipsim.setup.hub import Hub
from tipsim.setup.inputs import inputs, with_values
from tipsim.setup.load import LensLoad, Support
from tipsim.setup.needle import Needle
from tipsim.setup.old import scenario_table
from tipsim.setup.plain import from_plain, to_plain
from tipsim.setup.sleeve import Sleeve
from tipsim.setup.thermal import Outside, Press
from tipsim.setup.thermal_camera import ThermalCamera
from tipsim.setup.tissue import Tissue
from tipsim.setup.toml_text import decode_text, parse_toml, read_bytes, write_whole
from tipsim.setup.units import KHZ, MM, SECOND

FORMAT = "tipsim scenario 1"
_WANTED = "a TOML scenario"


@dataclass(frozen=True)
class Scenario(Declared):
    """One needle on the bench, with everything around it.

    Raises
    ------
    BadInput
        For numbers out of range, a needle that does not fit its sleeve, or a marker beyond it.

    Examples
    --------
    >>> one = Scenario.preset("counter-bent, torsional")
    >>> Scenario.parse(one.to_toml()) == one
    True
    """

    name: str = words("name of the scenario")
    needle: Needle = part(Needle, "the needle")
    drive: Drive = part(Drive, "what the hub does")
    fluid: Fluid = part(Fluid, "fluid around and inside")
    sleeve: Sleeve | None = part(Sleeve, "the sleeve; leave out for none", None, optional=True)
    lens: LensLoad | None = part(LensLoad, "lens at the mouth; leave out for none", None, True)
    support: Support | None = part(Support, "support on the shaft; leave out", None, True)
    flow: Flow = part(Flow, "flow through sleeve and bore", Flow(25e-6 / 60, 3e-6 / 60))
    outside: Outside = part(Outside, "what is around the needle", Outside())
    press: Press | None = part(Press, "load on the sleeve; leave out for none", None, True)
    events: tuple[Event, ...] = parts(Event, "what happens, and when", (), most=12, label="Events")
    eye: Eye = part(Eye, "iris and wound", Eye())
    endoscope: Endoscope = part(Endoscope, "an endoscope in the chamber", Endoscope())
    tissue: Tissue = part(Tissue, "numbers of the tissue, nearly all assumed", Tissue())
    lines: Lines = part(Lines, "lines and openings", Lines())
    surge: Trial = part(Trial, "a trial of occlusion and surge", Trial())
    thermal: Thermal = part(Thermal, "thermal numbers", Thermal())
    rubbing: Rubbing = part(Rubbing, "rubbing under a load", Rubbing())
    squeeze: Squeeze = part(Squeeze, "squeezed silicone", Squeeze())
    chamber: Chamber = part(Chamber, "the chamber", Chamber())
    viscoelastic: Viscoelastic = part(Viscoelastic, "viscoelastic (OVD)", Viscoelastic())
    incision: Incision = part(Incision, "place of the incision", Incision())
    ceilings: Ceilings = part(Ceilings, "up to where the model is believed", Ceilings())
    hub: Hub = part(Hub, "how firmly the handpiece holds the hub", Hub())
    thermal_camera: ThermalCamera = part(ThermalCamera, "the thermal camera", ThermalCamera())
    duty: Duty = part(Duty, "when the drive is on", Duty())
    duration: float = quantity(
        SECOND,
        0.5,
        600,
        "how long the run lasts",
        60.0,
        label="Run length",
        slider=(5, 120, 5),
        short="duration",
    )
    markers: tuple[float, ...] = numbers(
        MM,
        0,
        40,
        12,
        "tracked points, distance from the tip along the centreline, nearest first",
        (0.0, 1e-3, 2e-3, 3e-3, 4e-3),
        label="Markers",
        short="markers",
    )
    loss_factor: float = sourced(
        "motion.loss_factor",
        "loss factor of all that vibrates: hub, thread and what is not modelled included",
        span=(1e-4, 0.1),
        label="Loss factor",
        slider=(1e-4, 0.05, 0.001),
    )
    spacing: float = sourced(
        "motion.spacing",
        "greatest distance between nodes of the model",
        span=(0.02, 0.25),
        label="Node spacing",
        slider=(0.05, 0.25, 0.01),
    )

    def __post_init__(self) -> None:
        """Check the numbers and that the parts fit together."""
        super().__post_init__()
        if self.sleeve is not None:
            self.sleeve.fits(self.needle)
        if self.press is not None and (self.press.place or 0.0) > self.needle.length:
            most = f"1 to {MM.show(self.needle.length)} (the needle's length)"
            raise BadInput("press.place_mm", MM.show(self.press.place or 0.0), most)
        if self.support is not None and (self.support.place or 0.0) > self.needle.length:
            most = f"0.5 to {MM.show(self.needle.length)} (the needle's length)"
            raise BadInput("support.place_mm", MM.show(self.support.place or 0.0), most)
        for i, marker in enumerate(self.markers):
            if marker > self.needle.length:
                most = f"0 to {MM.show(self.needle.length)} (the needle's length)"
                raise BadInput(f"markers_mm[{i}]", MM.show(marker), most)
        if list(self.markers) != sorted(set(self.markers)):
            raise BadInput("markers_mm", "not in order", "different distances, nearest first")

    @property
    def sleeve_end(self) -> float:
        """Distance from the hub to the sleeve's end [m]; 0 without a sleeve."""
        return self.needle.length - self.sleeve.exposed if self.sleeve else 0.0

    @property
    def iris_place(self) -> float:
        """Distance from the tip to the middle of where the iris touches [m].

        Unless set, the iris begins at the incision's inner edge and lies inside the chamber.
        """
        if self.eye.iris_place is not None:
            return self.eye.iris_place
        return max(self.incision.insertion - self.tissue.iris.length / 2, 0.0)

    preset: ClassVar[Callable[[str], "Scenario"]]
    """The function `tipsim.setup.preset`, which it puts here."""

    def with_(self, **values: Any) -> Self:
        """Return this scenario with some inputs or parts changed.

        Parameters
        ----------
        **values
            By name ("drive.power", in SI), by path ("drive.power_percent", in the path's unit) or
            by short name ("power", in SI); a part by its name ("sleeve").

        Raises
        ------
        BadInput
            For an unknown name, with the nearest one, or an impossible value.

        Examples
        --------
        >>> one = Scenario.preset("counter-bent, torsional").with_(power=0.5, sleeve=None)
        >>> one.with_(**{"flow.aspiration_ml_min": 30}).drive.power
        0.5
        """
        return with_values(self, values)

    def __repr__(self) -> str:
        kind, power = self.drive.kind, f"{self.drive.power * 100:g} %"
        frequency = KHZ.show(self.drive.frequency)
        return f"Scenario({self.name!r}: {self.needle.title}; {kind}, {frequency}, {power})"

    def _repr_html_(self) -> str:
        rows = (
            (i.label or i.name, f"{_number(i.shown(self))} {i.unit.symbol}".strip())
            for i in inputs(Scenario).values()
            if i.of(self) is not None and i.kind in ("quantity", "choice")
        )
        cells = "".join(f"<tr><th>{escape(a)}</th><td>{escape(b)}</td></tr>" for a, b in rows)
        return f"<table><caption>{escape(repr(self))}</caption>{cells}</table>"

    def to_toml(self) -> str:
        """Write this scenario as TOML, units in the keys; reading it back is exact."""
        return tomli_w.dumps({"format": FORMAT, **to_plain(self)})

    def write(self, path: str | Path) -> None:
        """Write this scenario to a TOML file, whole or not at all."""
        write_whole(path, self.to_toml())

    @classmethod
    def parse(cls, text: str) -> Self:
        """Read a scenario from TOML text.

        Raises
        ------
        BadInput
            Naming the field, its value and what is allowed.
        """
        data = parse_toml(text, _WANTED)
        if data.pop("format", None) != FORMAT:
            raise BadInput("format", "missing or another one", f'format = "{FORMAT}"')
        out = from_plain(cls, scenario_table(data))
        assert isinstance(out, cls)
        return out

    @classmethod
    def read(cls, path: str | Path) -> Self:
        """Read a scenario from a TOML file.

        Raises
        ------
        BadInput
            Naming the file, the field, its value and what is allowed.
        """
        text = decode_text(read_bytes(path, _WANTED), str(path), _WANTED)
        try:
            return cls.parse(text)
        except BadInput as bad:
            raise BadInput(f"{path}: {bad.field}", bad.value, bad.allowed) from None


def _number(value: Any) -> str:
    return f"{value:.4g}" if isinstance(value, float) else str(value)
