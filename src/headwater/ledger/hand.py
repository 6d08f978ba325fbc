"""Who writes, and at which device, as far as the system tells."""

from __future__ import annotations

import getpass
import platform

from headwater.ledger.records import Hand


def this_hand(who: str = "") -> Hand:
    """Return the person named, or whoever is logged in, and this machine."""
    if not who:
        try:
            who = getpass.getuser()
        except (KeyError, OSError, ImportError):  # nobody of a name, as in some containers
            who = ""
    return Hand(who, platform.node())
