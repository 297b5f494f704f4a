"""What is raised when a file read back is not what was to be written."""

from ...base.errors import HoistoptError


class ExportFailed(HoistoptError):
    """A file read back is not what was to be written: a fault in hoistopt itself."""
