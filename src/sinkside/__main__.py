"""`python -m sinkside` is the command."""

from sinkside.cli import main

if __name__ == "__main__":
    main()
