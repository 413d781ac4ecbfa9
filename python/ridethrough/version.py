"""The version of the package, as results name it."""

from importlib.metadata import PackageNotFoundError, version

try:
    __version__ = version("ridethrough")
except PackageNotFoundError:  # run from a source tree
    __version__ = "0+source"
