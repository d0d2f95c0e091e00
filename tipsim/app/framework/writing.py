"""Markup from templates, without anything of a browser: it can be written in another process."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import jinja2

ROOT = Path(__file__).parents[1]
"""Templates lie somewhere under `tipsim/app`."""


@cache
def _templates() -> jinja2.Environment:
    return jinja2.Environment(
        loader=jinja2.FileSystemLoader(ROOT),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


@dataclass(frozen=True)
class Written:
    """A function of the state: a template, by name, with what `data` makes of the state."""

    name: str
    data: Callable[[Any], Mapping[str, Any]]

    def __call__(self, state: Any) -> str:
        """Return the markup for a state."""
        return _templates().get_template(self.name).render(self.data(state))
