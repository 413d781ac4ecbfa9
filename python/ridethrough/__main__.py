"""``python -m ridethrough``: the same as the command ``ridethrough``."""

import sys

from .console import main

if __name__ == "__main__":
    sys.exit(main())
