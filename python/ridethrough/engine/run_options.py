"""The options that every run and study takes: same names, same defaults, same meaning."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import ridethrough._core as _core

from ..model.checks import TRIALS as TRIALS
from ..model.errors import bad_input
from .executors import ExecutorOption as ExecutorOption
from .executors import check_executor
from .validation import validate_seed, validate_threads, validate_trials

Precision = Literal["double", "single"]


@dataclass(frozen=True, kw_only=True)
class RunOptions:
    """Validated options of a run.

    Attributes
    ----------
    trials : int
        Random trials of each van on each trip, 1 to 1e9.
    seed : int
        0 to 2**64 - 1; the same in all runs of a study, so that differences are paired. The same seed gives the same
        answer, bit for bit, whatever the threads and the executor.
    threads : int
        0 for one per processor; not to be given beside an executor.
    precision : {"double", "single"}
        Number type of the hourly kernel.
    executor : optional
        Any :mod:`concurrent.futures` executor or a ``dask.distributed.Client``, in place of this process's threads.
    """

    trials: int = TRIALS
    seed: int = 0
    threads: int = 0
    precision: Precision = "double"
    executor: ExecutorOption = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "trials", validate_trials(self.trials))
        object.__setattr__(self, "seed", validate_seed(self.seed))
        object.__setattr__(self, "threads", validate_threads(self.threads))
        if not isinstance(self.precision, str) or self.precision not in ("double", "single"):
            meant = {"32": "single", "64": "double"}.get(str(self.precision)[-2:], "")
            raise bad_input("precision", self.precision, allowed="'single', 'double'", suggestion=meant, quoted=True)
        check_executor(self.executor)
        if self.executor is not None and self.threads:
            raise bad_input("threads", self.threads, reason="an executor has its own; its parts run on one thread each")

    @property
    def arguments(self) -> dict[str, Any]:
        """Keyword arguments for :func:`simulate`."""
        return {name: getattr(self, name) for name in ("trials", "seed", "threads", "precision", "executor")}


def instruction_set() -> str:
    """Name the instruction set of the kernel in use.

    Returns
    -------
    str
        The widest one of the processor, or what the environment's RIDETHROUGH_INSTRUCTION_SET names. Answers are the
        same, bit for bit, on all of them.

    Raises
    ------
    InputError
        RIDETHROUGH_INSTRUCTION_SET names none that this processor has.

    Examples
    --------
    >>> rt.instruction_set()
    '...'
    """
    return _core.instruction_set()


def require_pairs(trials: int) -> None:
    """InputError where there are too few trials for a paired difference with an interval."""
    if trials < 2:
        raise bad_input("trials", trials, allowed="2 or more for a difference with an interval")
