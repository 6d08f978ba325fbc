"""The door of the program: `python -m headwater`, and the command `headwater`.

It imports nothing by itself: until `entry` is called, a Ctrl-C is met by Python alone.
"""


def entry() -> None:
    """Run the command line of this process; Ctrl-C ends it without a word even before it is up."""
    try:
        from headwater.cli.main import entry as go_on

        go_on()
    except KeyboardInterrupt:
        import os

        os._exit(2)


if __name__ == "__main__":
    entry()
