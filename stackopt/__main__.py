"""``python -m stackopt``, the same as the command ``stackopt``."""

from stackopt.cli import main

main(prog_name="stackopt")
