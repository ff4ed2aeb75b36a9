"""`python -m extractor` is the command `rodnote`."""

from extractor.cli.main import main

if __name__ == "__main__":
    main()
