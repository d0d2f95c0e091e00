"""Run every test: python3 deploy/check.py [arguments for pytest].

Prepares the test tools in .venv and a browser first. The exit code and the last line are pytest's.
"""

import sys

from _python import refuse_old

refuse_old()

from _check import main  # noqa: E402 - an old Python must meet the sentence, not the syntax

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
