"""Hold readings line by line: comments and a header first, then one row at a time."""

from commission.base.errors import FileError
from commission.instruments.header_row import HeaderRow
from commission.instruments.text_lines import decoded
from commission.stages.pressure_hold.files.header import Header, Role, read_header
from commission.stages.pressure_hold.files.rows import Row, RowReader, Sample, sample_of
from commission.stages.pressure_hold.files.settings import Comment, HoldSettings, SettingsReader


class HoldStream:
    """Takes the lines of a hold one by one and gives each back in SI.

    A line that cannot be read raises and changes nothing: the next line is read as if it had not come.

    Parameters
    ----------
    columns
        Which column of the input is which of ours, where it has headings of its own; empty where it has ours.
    """

    def __init__(self, columns: str = "") -> None:
        self.line = 0
        """Lines taken so far."""
        self.header: Header | None = None
        """The columns; None until the header came."""
        self.header_text = ""
        """The header row as it came, in our headings; empty until then."""
        self._own = HeaderRow(columns) if columns else None
        self._settings = SettingsReader()
        self._rows: RowReader | None = None

    @property
    def settings(self) -> HoldSettings:
        """What the comment lines gave so far."""
        return self._settings.settings

    @property
    def decimals(self) -> dict[Role, int]:
        """Most decimals seen in each column so far."""
        return dict(self._rows.decimals) if self._rows is not None else {}

    def push(self, line: str | bytes) -> Sample | Comment | None:
        """Take the next line.

        Parameters
        ----------
        line
            With or without its end.

        Returns
        -------
        Sample, Comment or None
            A row, a comment, or None for the header and for empty lines.

        Raises
        ------
        FileError
            If it cannot be read; the message names line and field.
        """
        self.line += 1
        text = decoded(line, self.line)
        taken = self.take(text, self.line)
        return sample_of(taken, text) if isinstance(taken, list) else taken

    def take(self, text: str, line: int) -> Row | Comment | None:
        """Take a decoded line with its number, for whoever reads a whole file; see `push`."""
        if text.lstrip(' "\t').startswith("#"):
            return self._settings.read(text.strip(), line)
        if self._rows is not None:
            return self._rows.values(text, line) if text.strip() else None
        header = self._own.take(text, line) if self._own is not None and text.strip() else text
        if header is not None and header.strip():
            self.header = read_header(header, line)
            self.header_text = header
            self._rows = RowReader(self.header)
        return None

    def missing(self) -> FileError | None:
        """Return what is wrong if no more lines come: no header, or None."""
        if self.header is None and self._own is not None:
            return self._own.missing()
        if self.header is None:
            return FileError(
                "there is no header row; the first row names the columns, such as elapsed [s],gauge [mbar]"
            )
        return None
