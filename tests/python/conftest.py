"""A shell starts background jobs with Ctrl-C ignored, and children inherit that: tests of Ctrl-C need it back."""

import importlib.util
import signal

import pytest

if importlib.util.find_spec("ridethrough._checks") is None:
    command = "pip install '.[test]' --config-settings=cmake.define.RIDETHROUGH_TESTS=ON"
    pytest.exit(f"ridethrough is installed without what its tests look at; {command}", returncode=2)

signal.signal(signal.SIGINT, signal.default_int_handler)
