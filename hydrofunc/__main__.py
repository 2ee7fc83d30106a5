"""`python -m hydrofunc` is the same as `hydrofunc`."""

from .cli import main

if __name__ == "__main__":
    main()
