"""Sign-offs: what is to be done next, families and their gaps, people, a tray now, the roster, the policy."""

from sinkside.web.screens.sign_offs import families, people, policy, roster, shelf, tonight
from sinkside.web.screens.sign_offs.shelf import screen

__all__ = ["families", "people", "policy", "roster", "screen", "shelf", "tonight"]
