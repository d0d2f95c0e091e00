"""Start tipsim on this computer: python3 deploy/start.py [--port N] [--no-browser].

The first start makes .venv beside this folder and needs the network; later ones need neither.
"""

import sys

from _python import refuse_old

refuse_old()

from _start import main  # noqa: E402 - an old Python must meet the sentence, not the syntax

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
