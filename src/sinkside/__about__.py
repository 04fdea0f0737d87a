"""The version, in the one place that the build and the program both read."""

__version__ = "0.1.0"
