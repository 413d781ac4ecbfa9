"""The places of a trip in their order: one site, or stops."""

from __future__ import annotations

from dataclasses import dataclass

from .classes import Site, Trip


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
    """

    name: str
    site: Site
    first_night: int  # the trip's first night is 1
    nights: int


def places_of(trip: Trip) -> tuple[Place, ...]:
    """The trip's places, in order."""
    if not trip.stops:
        assert trip.site is not None and trip.nights is not None  # the core refuses other trips without stops
        climate = trip.site.climate
        return (Place((climate.name if climate else "") or "unnamed place", trip.site, 1, trip.nights),)
    places: list[Place] = []
    for stop in trip.stops:
        first = places[-1].first_night + places[-1].nights if places else 1
        places.append(Place(stop.name, stop.site, first, stop.nights))
    return tuple(places)


def place_at(places: tuple[Place, ...], night: int) -> Place:
    """Where a night is spent; what comes after the last one belongs to the last place."""
    return next((p for p in places if night < p.first_night + p.nights), places[-1])
