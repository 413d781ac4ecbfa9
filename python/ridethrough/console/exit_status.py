"""What the command line returns to the shell."""

DONE, CLOSED_PIPE, BAD_INPUT, STOPPED = 0, 1, 2, 130  # 130 is what shells give for Ctrl-C
