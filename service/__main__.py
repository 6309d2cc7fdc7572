"""`python -m service` is the operator's console."""

from service.console import main

if __name__ == "__main__":
    main()
