"""`python -m benchvoice`"""

from benchvoice.cli.main import main

main()
