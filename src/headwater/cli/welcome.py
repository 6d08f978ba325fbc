"""What `headwater` prints by itself: who you are, and what to type."""

from __future__ import annotations

from headwater import __version__

WELCOME = f"""\
Headwater {__version__}: where a failure began, before a part is bought.

Where do you stand?
  on the telephone, a caller in your ear      headwater call CASE.yaml
  at the vehicle, on the hoist                headwater hoist CASE.yaml
  at the bench, the unit in front of you      headwater bench CASE.yaml

CASE.yaml is a new file, or one that was begun: every answer is saved in it at
once, and the next seat goes on where the last one stopped.

  see a whole case first                      headwater demo
  a class, or practice alone                  headwater drill
  every command                               headwater --help
"""
