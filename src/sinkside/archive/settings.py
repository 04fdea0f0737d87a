"""The few things that an archive has to remember about itself."""

from __future__ import annotations

#: Set while what is left of an erased person must still be wiped from the database's files.
ERASED = "erased"

#: Which workspace the tables belong to; its file says the same.
WORKSPACE = "workspace"

#: Hides the names under which failed sign-ins are counted.
FAILURE_KEY = "failure-key"
