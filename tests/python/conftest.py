"""A shell starts background jobs with Ctrl-C ignored, and children inherit that: tests of Ctrl-C need it back."""

import signal

signal.signal(signal.SIGINT, signal.default_int_handler)
