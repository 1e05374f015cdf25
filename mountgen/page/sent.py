"""What the browser sends: a survey's text, what stands over its values, the files that it names."""

from __future__ import annotations

import base64
import binascii
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field

from mountgen.catalogue.reader import Catalogue
from mountgen.errors import Fault, SurveyError
from mountgen.survey.files import Beside
from mountgen.survey.reader import SURVEY, Written, survey_of
from mountgen.survey.records import Survey
from mountgen.survey.setting import LONGEST, Setting, read_settings

NAME = Path("survey.toml")
"""What messages call the survey."""
MOST_SETTINGS, MOST_FILES = 1_000, 8
LONGEST_NAME = 100
_Value = Annotated[str, Field(max_length=LONGEST)]


class Sent(BaseModel):
    """One survey as the page holds it: `settings` are what `--set` takes, by key; `files` are base64, by the
    name that the survey calls them."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)

    text: Annotated[str, Field(max_length=SURVEY.most_bytes)]
    settings: Annotated[dict[_Value, _Value], Field(max_length=MOST_SETTINGS)] = {}
    files: Annotated[dict[str, str], Field(max_length=MOST_FILES)] = {}

    @property
    def source(self) -> bytes:
        """The text as the bytes of a file. SurveyError for what is no text in UTF-8 or too long for one."""
        try:
            source = self.text.encode("utf-8")
        except UnicodeEncodeError as error:
            found = f"character {error.start + 1} is half of a pair"
            fault = Fault(str(NAME), found, "a text in UTF-8", "take the character out")
            raise SurveyError([fault]) from error
        if len(source) > SURVEY.most_bytes:
            limit, action = f"at most {SURVEY.most_bytes} bytes", "give long lists as a file of their own"
            raise SurveyError([Fault(str(NAME), "it is longer than any survey", limit, action)])
        return source


def settings_of(sent: Sent) -> tuple[Setting, ...]:
    """What stands over the survey's values. Raises SurveyError with every one that cannot be read."""
    return read_settings(f"{key}={value}" for key, value in sent.settings.items())


def survey_sent(sent: Sent, catalogue: Catalogue) -> Survey:
    """The survey; its files stand in a folder of their own while it is read.

    Raises SurveyError, with no name of that folder in it.
    """
    settings, source = settings_of(sent), sent.source
    with _files_of(sent) as beside:
        try:
            return survey_of(Written(NAME, source, beside), catalogue, settings)
        except SurveyError as error:
            raise SurveyError(_without(beside.folder, error.faults)) from error


@contextmanager
def _files_of(sent: Sent) -> Iterator[Beside]:
    """The folder with the files that came with a survey; it is gone afterwards."""
    contents = _contents(sent.files)
    with tempfile.TemporaryDirectory(prefix="mountgen-") as folder:
        for name, content in contents.items():
            (Path(folder) / name).write_bytes(content)
        yield Beside(Path(folder), frozenset(contents))


def _contents(files: dict[str, str]) -> dict[str, bytes]:
    """Every file's bytes. SurveyError for a name that is more than a name, and for what is no base64."""
    read: dict[str, bytes] = {}
    faults: list[Fault] = []
    for name, written in files.items():
        if not _is_plain_name(name):
            action = "rename the file, and say the new name in the survey"
            expected = f"a name without folders, of at most {LONGEST_NAME} bytes"
            faults.append(Fault("files", f"a file cannot be called {name[:60]!a}", expected, action))
            continue
        try:
            read[name] = base64.b64decode(written, validate=True)
        except (binascii.Error, ValueError):
            faults.append(Fault(name, "its content is not base64", "base64", "send the file again"))
    if faults:
        raise SurveyError(faults)
    return read


def _is_plain_name(name: str) -> bool:
    """Whether it names a file in a folder and nothing elsewhere, on any system."""
    plain = name.isprintable() and not set(name) & set('/\\:*?"<>|') and name.strip(". ") == name.rstrip(". ")
    return plain and 0 < len(name.encode("utf-8", "replace")) <= LONGEST_NAME and name == name.strip(". ")


def _without(folder: Path, faults: tuple[Fault, ...]) -> Iterator[Fault]:
    """The faults, files called by their names alone."""
    for one in faults:
        where, found = (text.replace(f"{folder}/", "") for text in (one.where, one.found))
        yield Fault(where, found, one.expected, one.action, one.key)
