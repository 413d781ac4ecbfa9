"""The places of a trip in their order: one site, or stops."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from ridethrough._core import InputError

from .classes import Climate, Site, Stop, Trip
from .errors import with_new_path

UNNAMED = "unnamed place"
# What a site without a climate is simulated with; the room of the weather, which comes later, sets it.
default_climate: Callable[[Site], Climate] | None = None
# What is told of a trip's places before a number; set likewise.
place_warnings: Callable[[Trip], list[str]] | None = None


@dataclass(frozen=True)
class Place:
    """A stop, or the one site of a trip without stops (``name`` is then that of its climate).

    Attributes
    ----------
    name : str
        Of the stop, or of the climate.
    site : Site
        Where it is.
    first_night, nights : int
        Its first night, counted from 1, and how many there are.

    Examples
    --------
    >>> (place,) = rt.simulate(van, trip, trials=10).places
    >>> place.name, place.first_night, place.nights
    ('unnamed place', 1, 3)
    """

    name: str
    site: Site
    first_night: int  # the trip's first night is 1
    nights: int


def places_of(trip: Trip) -> tuple[Place, ...]:
    """The trip's places, in order."""
    if not trip.stops:
        assert trip.site is not None and trip.nights is not None  # the core refuses other trips without stops
        site = with_climate(trip.site)
        return (Place((site.climate.name if site.climate else "") or UNNAMED, site, 1, trip.nights),)
    places: list[Place] = []
    for stop in trip.stops:
        first = places[-1].first_night + places[-1].nights if places else 1
        places.append(Place(stop.name, _site_of(stop), first, stop.nights))
    return tuple(places)


def with_climate(site: Site) -> Site:
    """The site, with the default climate where it has none; InputError where there is none for its place."""
    if site.climate is not None or default_climate is None:
        return site
    return site.replace(climate=default_climate(site))


def with_climates(trip: Trip) -> Trip:
    """The trip, with default climates for all places that have none."""
    if trip.site is not None:
        return trip if trip.site.climate is not None else trip.replace(site=with_climate(trip.site))
    if all(stop.site.climate is not None for stop in trip.stops):
        return trip
    return trip.replace(stops=[stop.replace(site=_site_of(stop)) for stop in trip.stops])


def _site_of(stop: Stop) -> Site:
    """With its climate; errors name the stop."""
    try:
        return with_climate(stop.site)
    except InputError as error:
        raise with_new_path("Site", f"Trip.stops.{stop.name}.site", error) from None


def place_at(places: tuple[Place, ...], night: int) -> Place:
    """Where a night is spent; what comes after the last one belongs to the last place."""
    return next((p for p in places if night < p.first_night + p.nights), places[-1])
