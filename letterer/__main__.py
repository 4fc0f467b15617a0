"""`python -m letterer` is the command `letterer`."""

import sys

from letterer.cli.main import main

sys.exit(main())
