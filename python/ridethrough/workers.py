"""Many independent jobs over threads of this process, or over an executor or cluster that somebody else runs."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Executor, Future, ThreadPoolExecutor, wait
from contextlib import contextmanager
from typing import Any

import ridethrough._core as _core

IN_FLIGHT = 1024  # jobs handed out at a time to a foreign executor: bounds memory here and at its scheduler


def check_executor(executor: Any) -> None:
    if executor is not None and not hasattr(executor, "submit"):
        raise _core.InputError(
            f"executor = {executor!r}: allowed None, a concurrent.futures executor, a dask.distributed Client"
        )


@contextmanager
def opened(executor: Any, threads: int) -> Iterator[tuple[Executor, int]]:
    """The executor to submit to, and how many jobs to hand out at a time.

    ``executor`` is None (threads of this process: the core gives up the interpreter lock), anything with the
    ``submit`` of :mod:`concurrent.futures`, or a ``dask.distributed.Client``.
    """
    if executor is None:
        count = threads or os.cpu_count() or 1
        with ThreadPoolExecutor(count) as pool:
            yield pool, 2 * count
    elif hasattr(executor, "get_executor"):  # a Dask client
        slots = sum(executor.nthreads().values())
        yield executor.get_executor(pure=False), max(IN_FLIGHT, 4 * slots)
    else:
        yield executor, IN_FLIGHT


def run_all(
    function: Callable[..., Any],
    jobs: Iterable[tuple[Any, tuple[Any, ...]]],
    *,
    executor: Any,
    threads: int,
    finished: Callable[[Any, Any], None],
) -> None:
    """Call ``function(*arguments)`` for every job ``(key, arguments)`` and ``finished(key, result)`` in this thread.

    Results come in the order in which they are ready. After an exception, in a job or here, no more jobs are
    started; those that are running are waited for and delivered, and then it is raised.
    """
    waiting: dict[Future[Any], Any] = {}
    with opened(executor, threads) as (pool, in_flight):
        try:
            for key, arguments in jobs:
                while len(waiting) >= in_flight:
                    _deliver(waiting, finished)
                waiting[pool.submit(function, *arguments)] = key
            while waiting:
                _deliver(waiting, finished)
        except BaseException:
            for future in waiting:
                future.cancel()
            for future in [f for f in waiting if not f.cancelled()]:
                if future.exception() is None:
                    finished(waiting[future], future.result())
            raise


def _deliver(waiting: dict[Future[Any], Any], finished: Callable[[Any, Any], None]) -> None:
    """Wait for one or more jobs and hand their results on."""
    for future in wait(waiting, return_when=FIRST_COMPLETED).done:
        key = waiting.pop(future)
        finished(key, future.result())
