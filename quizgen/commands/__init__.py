"""What each word of the command line does. A command gives an exit code and a text; `cli` prints it."""
