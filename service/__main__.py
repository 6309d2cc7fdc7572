"""`python -m service`, or `fitting-service`, is the operator's console."""

from service.starting import made_to_last


def main() -> None:
    """Run the command that is named."""
    with made_to_last():
        from service.console import main as console  # noqa: PLC0415
    console()


if __name__ == "__main__":
    main()
