"""An invented department and invented makers, and the main job run over them."""

from sinkside.demo.running import run_demo
from sinkside.demo.workspace import Progress

__all__ = ["Progress", "run_demo"]
