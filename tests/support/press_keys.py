#!/usr/bin/env python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Start the program on a terminal of its own and press keys, each after the screen is ready.

usage: press_keys.py KEYS PROGRAM [ARGUMENT...]

KEYS are bytes as a terminal sends them, with \\r for Enter and \\x11 for Ctrl-Q, which should come
last; "~" waits until a bounce of the key before would be over. Status: that of the program.
"""

import os
import pty
import select
import sys
import time

READY = b"\x1b]777;ready;"
DEAF_S = 0.2
WAIT_S = 30


def wait_ready(terminal, seen):
    """Reads until the program has drawn once more."""
    until = time.monotonic() + WAIT_S
    while READY not in seen:
        left = until - time.monotonic()
        if left <= 0 or not select.select([terminal], [], [], left)[0]:
            sys.exit("press_keys: no frame came")
        try:
            seen += os.read(terminal, 65536)
        except OSError:
            return b""
    return seen.split(READY, 1)[1]


def main():
    keys = sys.argv[1].encode().decode("unicode_escape").encode("latin-1")
    child, terminal = pty.fork()
    if child == 0:
        os.environ["SPRINGLINE_READY_MARK"] = "1"
        os.environ["TERM"] = "xterm"
        os.execv(sys.argv[2], sys.argv[2:])
    seen = wait_ready(terminal, b"")
    for key in keys:
        if key == ord("~"):
            time.sleep(DEAF_S)
            continue
        os.write(terminal, bytes([key]))
        if key != 0x11:
            seen = wait_ready(terminal, seen)
    try:
        while os.read(terminal, 65536):
            pass
    except OSError:
        pass
    sys.exit(os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]))


if __name__ == "__main__":
    main()
