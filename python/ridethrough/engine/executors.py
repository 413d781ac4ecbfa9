"""Run independent jobs on threads of this process, or on an executor or cluster of the caller's."""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait
from contextlib import contextmanager
from typing import Any, NamedTuple, Protocol, TypeVar

from ..model.errors import bad_input

IN_FLIGHT = 1024  # jobs handed out at a time to a foreign executor: bounds memory here and at its scheduler


class Submits(Protocol):
    """What runs calls elsewhere: any :mod:`concurrent.futures` executor, or a ``dask.distributed.Client``."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Any:
        """Run a call and return its future."""


ExecutorOption = Submits | None


def check_executor(executor: object) -> None:
    """InputError where it runs no calls."""
    if executor is not None and not hasattr(executor, "submit"):
        raise bad_input("executor", executor, allowed="None, a concurrent.futures executor, a dask.distributed Client")


Key = TypeVar("Key")
Found = TypeVar("Found")


class Pool(NamedTuple):
    """Where jobs go: how to submit one, which of those waited for are ready, how many to hand out at a time."""

    submit: Callable[..., Any]
    ready: Callable[[Iterable[Any]], Iterable[Any]]  # waits until there is one
    in_flight: int


def _first_completed(waiting: Iterable[Any]) -> Iterable[Any]:
    return wait(waiting, return_when=FIRST_COMPLETED).done


@contextmanager
def open_pool(executor: ExecutorOption, threads: int) -> Iterator[Pool]:
    """The pool of an executor.

    ``executor`` is None (threads of this process: the core gives up the interpreter lock), anything with the
    ``submit`` of :mod:`concurrent.futures`, or a ``dask.distributed.Client``.
    """
    if executor is None:
        count = threads or os.cpu_count() or 1
        with ThreadPoolExecutor(count) as pool:
            yield Pool(pool.submit, _first_completed, 2 * count)
    elif hasattr(executor, "get_executor"):  # a Dask client
        client: Any = executor
        from distributed import as_completed

        # Its own futures and not its executor's: those fail where a worker dies just after its result was fetched.
        futures: Any = as_completed(loop=client.loop)  # type: ignore[no-untyped-call]

        def submit(*call: Any) -> Any:
            future = executor.submit(*call, pure=False)
            futures.add(future)
            return future

        slots = sum(client.nthreads().values())
        yield Pool(submit, lambda _: [next(futures)], max(IN_FLIGHT, 4 * slots))
    else:
        yield Pool(executor.submit, _first_completed, IN_FLIGHT)


def run_all(
    function: Callable[..., Found],
    jobs: Iterable[tuple[Key, tuple[object, ...]]],
    *,
    executor: ExecutorOption,
    threads: int,
    finished: Callable[[Key, Found], None],
) -> None:
    """Call ``function(*arguments)`` for every job ``(key, arguments)`` and ``finished(key, result)`` in this thread.

    Results come in the order in which they are ready. After an exception, in a job or here, no more jobs are
    started; those that are running in this process are waited for and delivered, and then it is raised.
    """
    waiting: dict[Any, Key] = {}
    with open_pool(executor, threads) as pool:
        try:
            for key, arguments in jobs:
                while len(waiting) >= pool.in_flight:
                    _deliver(waiting, pool, finished)
                waiting[pool.submit(function, *arguments)] = key
            while waiting:
                _deliver(waiting, pool, finished)
        except BaseException:
            for future in [f for f in waiting if not f.done()]:
                future.cancel()
            for future in [f for f in waiting if not f.cancelled()]:
                if future.exception() is None:
                    finished(waiting[future], future.result())
            raise


def _deliver(waiting: dict[Any, Key], pool: Pool, finished: Callable[[Key, Found], None]) -> None:
    """Wait for one or more jobs and hand their results on."""
    for future in pool.ready(waiting):
        key = waiting.pop(future)
        finished(key, future.result())


def run_each(
    function: Callable[..., Found],
    jobs: Iterable[tuple[Key, tuple[object, ...]]],
    *,
    executor: ExecutorOption,
    finished: Callable[[Key, Found], None],
) -> None:
    """The same for jobs that use all threads themselves: one after the other here, or over an executor."""
    if executor is not None:
        run_all(function, jobs, executor=executor, threads=0, finished=finished)
        return
    for key, arguments in jobs:
        finished(key, function(*arguments))
