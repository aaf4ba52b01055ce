"""How the program ends, as a number for scripts.

70 is what BSD's sysexits.h names a fault of the software itself.
"""

SOLVED = 0
BLOCKED = 1  # solved, and at least one engine is blocked
INPUT_IS_WRONG = 2
OWN_FAULT = 70
INTERRUPTED = 130  # as shells count a program that Ctrl-C ended
