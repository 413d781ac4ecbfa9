"""Exceptions of runs that end early. They carry the partial result, also when they come from another process."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from .._core import InputError


class Interrupted(KeyboardInterrupt):
    """Raised where a run or study was stopped by Ctrl-C.

    Attributes
    ----------
    finished : object
        What had been run till then, in the form of the whole result; None where nothing had.
    """

    def __init__(self, what: str, finished: Any) -> None:
        super().__init__(f"{what} stopped early; see .finished")
        self.what, self.finished = what, finished

    def __reduce__(self) -> tuple[object, ...]:  # an exception's own gives the constructor its message alone
        return type(self), (self.what, self.finished)


class StudyFailed(RuntimeError):
    """Raised where a part of a study failed.

    Attributes
    ----------
    finished : object
        The other parts, in the form of the whole result (of a sweep a dataset, NaN elsewhere); None where there is
        none.
    """

    def __init__(self, why: str, finished: Any) -> None:
        super().__init__(why)
        self.finished = finished

    def __reduce__(self) -> tuple[object, ...]:
        return type(self), (str(self), self.finished)


@contextmanager
def attach_partial_result(what: str, finished: Callable[[], object]) -> Iterator[None]:
    """Re-raise what ends the body early with the partial result attached, as ``finished``."""
    try:
        yield
    except InputError as wrong:  # stays an InputError
        vars(wrong)["finished"] = finished()
        raise
    except KeyboardInterrupt as raised:
        raise Interrupted(what, finished()) from raised
    except Exception as raised:
        raise StudyFailed(f"{what}: {type(raised).__name__}: {raised}", finished()) from raised
