"""Run the `tipsim` command by ``python -m tipsim``."""

import sys

from tipsim.cli import main

if __name__ == "__main__":
    sys.exit(main())
