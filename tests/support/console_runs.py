"""The command line as a process of its own: what it prints, its exit status, and no traceback ever."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import ridethrough as rt

ENVIRONMENT = os.environ | {"PYTHONPATH": os.pathsep.join([str(Path(rt.__file__).parents[1]), *sys.path])}
FEW = ("--trials", "400")


def started(*arguments: Any, **pipes: Any) -> subprocess.Popen[str]:
    """The command, running."""
    command = [sys.executable, "-m", "ridethrough", *map(str, arguments)]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "stdin": subprocess.DEVNULL} | pipes
    return subprocess.Popen(command, text=True, encoding="utf-8", env=ENVIRONMENT, **pipes)


def ran(*arguments: Any) -> tuple[int, str, str]:
    """Exit status, what stands on stdout and on stderr."""
    process = started(*arguments)
    out, err = process.communicate(timeout=120)
    assert "Traceback" not in err, err
    return process.returncode, out, err


def refused(*arguments: Any) -> str:
    """The message of bad input: status 2, one line, nothing on stdout."""
    status, out, err = ran(*arguments)
    assert (status, out) == (2, ""), (status, out, err)
    assert err.startswith("error: ") and err.count("\n") == 1, err
    return err
