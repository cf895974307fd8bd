"""What can go wrong while getting a forecast."""


class ForecastError(Exception):
    """A forecast that could not be had.

    ``message`` is one line in plain words, fit for a grower's digest. ``recoverable`` tells that
    the same question may be answered later. ``gone`` marks an answer that says there is nothing
    at that address (404). ``retry_after_s`` is the wait the service asked for, or the first that
    can help [s]. ``setting`` names the key of [forecast] that must be set first, "" where none.
    """

    def __init__(
        self,
        message: str,
        recoverable: bool,
        *,
        retry_after_s: float | None = None,
        gone: bool = False,
        setting: str = "",
    ) -> None:
        super().__init__(message)
        self.message = message
        self.recoverable = recoverable
        self.retry_after_s = retry_after_s
        self.gone = gone
        self.setting = setting
