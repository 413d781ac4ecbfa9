"""The version of the package, as results name it."""

from ridethrough._core import VERSION

__version__ = VERSION
