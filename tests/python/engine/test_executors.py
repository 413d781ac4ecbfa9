"""A real Dask cluster of two worker processes: the same bits, one worker killed in mid-study, no thread too many."""

import contextlib
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

pytest.importorskip("xarray")
pytest.importorskip("distributed")

SUPPORT = Path(__file__).parents[2] / "support"
LIMIT_S = 300  # never reached unless something is stuck; then the test fails and says where


@pytest.mark.skipif(os.name == "nt", reason="kills process groups")
def test_studies_on_a_cluster(tmp_path):
    """In a process group of its own, killed as a whole at the end; no pipe that an orphan could hold open."""
    paths = os.pathsep.join([str(SUPPORT), *sys.path])
    env = os.environ | {"PYTHONPATH": paths, "DASK_DISTRIBUTED__COMM__TIMEOUTS__CONNECT": "60s"}
    printed = tmp_path / "told.txt"
    with printed.open("w") as file:
        child = subprocess.Popen(
            [sys.executable, SUPPORT / "cluster_study.py"],
            env=env,
            cwd=tmp_path,
            stdin=subprocess.DEVNULL,
            stdout=file,
            stderr=file,
            start_new_session=True,
        )
        try:
            child.wait(LIMIT_S)
        finally:
            with contextlib.suppress(ProcessLookupError):  # all are gone
                os.killpg(child.pid, signal.SIGKILL)
            child.wait()
    assert child.returncode == 0 and "all held" in printed.read_text(), printed.read_text()[-5000:]
