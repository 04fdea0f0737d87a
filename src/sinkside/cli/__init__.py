"""The command line: each verb reads its arguments, calls the desk, and prints."""

from sinkside.cli.app import main

__all__ = ["main"]
