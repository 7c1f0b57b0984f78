"""`python -m builder` is `etudebook`."""

from builder.cli import main

if __name__ == "__main__":
    raise SystemExit(main())
