"""Progress of long runs: a bar where tqdm is installed, or a function of the caller's."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager

import ridethrough._core as _core

ProgressOption = bool | None | Callable[[int, int], None]


@contextmanager
def track_progress(progress: ProgressOption, total: int, done: int, unit: str) -> Iterator[Callable[[int], None]]:
    """A function that takes the number of steps done. None: a bar, where tqdm is installed and stderr is a terminal."""
    if callable(progress):
        function = progress
        yield lambda now: function(now, total)
        return
    if progress is False:
        yield lambda now: None
        return
    try:
        from tqdm import tqdm  # type: ignore[import-untyped]
    except ImportError:
        if progress:
            raise _core.InputError("progress = True needs tqdm: pip install '.[study]' in a checkout") from None
        yield lambda now: None
        return
    with tqdm(total=total, initial=done, unit=unit, disable=None if progress is None else False) as bar:
        yield lambda now: _moved(bar, now)


def _moved(bar: object, now: int) -> None:
    bar.update(now - bar.n)  # type: ignore[attr-defined]
