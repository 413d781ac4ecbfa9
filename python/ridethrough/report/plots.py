"""Pictures of a risk. Each names the van, the place, the dates, and the chance with its interval; needs matplotlib."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, NoReturn

from ..engine.risk import Risk
from ..model.charge_limit import require_charge_limit
from ..model.checks import validate_mapping
from ..model.errors import bad_input, checked_call, unknown_name
from ..model.former_names import name_now
from ..money.prices import Prices
from ..studies.size_map import map_sizes
from .pictures.bad_trip import draw_bad_trip
from .pictures.changes import draw_changes
from .pictures.charge import draw_charge
from .pictures.first_cutout import draw_first_cutout
from .pictures.ledger import draw_ledger
from .pictures.picture import Picture as Picture
from .pictures.picture import require_matplotlib, size_of
from .pictures.size_map import draw_sizes
from .pictures.survival import draw_survival
from .pictures.temperatures import draw_temperatures


class RiskPlots:
    """What ``risk.plot`` offers: pictures with ``.figure``, ``.alt`` and ``save(path)``.

    ``risk.plot()`` is ``risk.plot.charge()``; ``risk.plot("survival")`` is ``risk.plot.survival()``. Each takes a
    ``size``, which is "screen" (800 pixels), "phone" (360), "desk" (1,280) or "a4" (170 mm), and a ``title`` of yours.
    """

    def __init__(self, risk: Risk) -> None:
        self._risk = risk

    def __call__(self, kind: str = "charge", *, size: str = "screen", title: str = "") -> Picture:
        """The picture of this kind."""
        if kind not in KINDS:
            raise unknown_name("kind", kind, list(KINDS), "there is no such picture")
        drawn: Picture = getattr(self, kind)(size=size, title=title)
        return drawn

    if not TYPE_CHECKING:  # a type checker is to see a name that is not there

        def __getattr__(self, name: str) -> NoReturn:
            """Only reached by a name that is not there."""
            if now := name_now(f"RiskPlots.{name}"):
                raise AttributeError(f"RiskPlots.{name}: now {now}")
            raise AttributeError(f"'RiskPlots' object has no attribute {name!r}; there are {', '.join(KINDS)}")

    @checked_call
    def charge(self, *, charge_limit: float | None = None, size: str = "screen", title: str = "") -> Picture:
        """State of charge by clock time with the middle half and nine tenths of the trips, and where cut-outs came.

        ``charge_limit`` is the charge that you don't go below [share of full]: it is drawn in place of half charge,
        with the chance of going below it.
        """
        if charge_limit is not None:
            charge_limit = require_charge_limit("charge_limit", charge_limit)
        return draw_charge(self._risk, *checked(size, title), charge_limit=charge_limit)

    @checked_call
    def survival(
        self,
        others: Mapping[str, Risk] | None = None,
        *,
        label: str = "as it is",
        size: str = "screen",
        title: str = "",
    ) -> Picture:
        """Chance that the fridge has had no cut-out by each night's end, with 95 % intervals.

        ``others`` are further risks by their names, such as ``{"lithium": risk_of_lithium}``; ``label`` is then this
        one's name.
        """
        given = validate_mapping("others", {} if others is None else others, "a dict of names to risks")
        for name, other in given.items():
            if not isinstance(other, Risk):
                raise bad_input(f"others[{name!r}]", other, allowed="a risk, such as simulate() returns")
        return draw_survival(self._risk, given, label, *checked(size, title))

    @checked_call
    def first_cutout(self, *, size: str = "screen", title: str = "") -> Picture:
        """First cut-outs by night and hour, in per cent of all trips; a night runs from noon to noon."""
        return draw_first_cutout(self._risk, *checked(size, title))

    @checked_call
    def ledger(self, *, size: str = "screen", title: str = "") -> Picture:
        """Where the energy of middling and of hard days came from and went."""
        return draw_ledger(self._risk, *checked(size, title))

    @checked_call
    def temperatures(self, *, size: str = "screen", title: str = "") -> Picture:
        """Temperature in the fridge, with the 5 degC of food, and in the cabin."""
        return draw_temperatures(self._risk, *checked(size, title))

    @checked_call
    def bad_trip(self, *, size: str = "screen", title: str = "") -> Picture:
        """One failing trip hour by hour, with what happened in captions; where none failed, the hardest one."""
        return draw_bad_trip(self._risk, *checked(size, title))

    @checked_call
    def changes(self, *, size: str = "screen", title: str = "") -> Picture:
        """Usual changes by the risk that they take off, on the same trips: those of :meth:`Risk.suggestions`."""
        return draw_changes(self._risk, *checked(size, title))

    @checked_call
    def sizes(
        self,
        panels_w: Sequence[float] | None = None,
        batteries_ah: Sequence[float] | None = None,
        *,
        prices: Prices | str | None = None,
        size: str = "screen",
        title: str = "",
    ) -> Picture:
        """The risk of other panels [W] and batteries [Ah] on the first of the same trips, with price and mass.

        Without lists the van's own and a few larger ones; some two seconds.
        """
        wanted = checked(size, title)
        return draw_sizes(self._risk, map_sizes(self._risk, panels_w, batteries_ah, prices=prices), *wanted)


KINDS = tuple(name for name in vars(RiskPlots) if not name.startswith("_"))


def checked(size: object, title: object) -> tuple[str, str]:
    """Size and title of a picture that can be drawn."""
    size_of(size)
    if not isinstance(title, str):
        raise bad_input("title", title, allowed="a text")
    require_matplotlib()
    return str(size), title
