"""`python -m quizgen`."""

import sys

from quizgen.cli import main

sys.exit(main())
