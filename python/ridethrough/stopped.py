"""A study that was stopped keeps what it had finished."""

from __future__ import annotations

from typing import Any


class Stopped(KeyboardInterrupt):
    """Raised where a run or study was stopped by Ctrl-C; ``finished`` holds what had been run till then."""

    def __init__(self, what: str, finished: Any) -> None:
        super().__init__(f"{what} stopped early; see .finished")
        self.finished = finished
