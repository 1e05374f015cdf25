"""Whatever stands in a survey file, it is a survey or a list of complete faults, never a crash."""

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from mountgen.catalogue.reader import Catalogue, profiles_folder
from mountgen.errors import SurveyError
from mountgen.survey.reader import read_survey

TEXT = (profiles_folder() / "surveys" / "compost-sacks.toml").read_text(encoding="utf-8")
LINES = TEXT.split("\n")
CATALOGUE = Catalogue()
WORDS = [
    '"x"',
    "[]",
    "{}",
    "[1, 2]",
    "nan",
    "-1e400",
    "true",
    "1979-05-27",
    "[[1]]",
    "{a = 1}",
    "0",
    '"½"',
    "[{}]",
]


@st.composite
def spoilt_texts(draw):
    """The text with a few lines dropped, doubled, given another value or a stray character."""
    lines = list(LINES)
    for _ in range(draw(st.integers(1, 4))):
        at = draw(st.integers(0, len(lines) - 1))
        change = draw(st.sampled_from(["drop", "double", "value", "stray"]))
        if change == "drop":
            del lines[at]
        elif change == "double":
            lines.insert(at, draw(st.sampled_from(LINES)))
        elif change == "value":
            lines[at] = lines[at].partition("=")[0] + "= " + draw(st.sampled_from(WORDS))
        else:
            lines[at] += draw(st.sampled_from('[]{}"=.#\\1'))
    return "\n".join(lines)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(spoilt_texts())
def test_a_survey_or_faults(tmp_path, text):
    path = tmp_path / "s.toml"
    path.write_text(text, encoding="utf-8")
    try:
        read_survey(path, CATALOGUE)
    except SurveyError as error:
        assert error.faults
        assert all(fault.found and fault.expected and fault.action for fault in error.faults)
        assert all(fault.where.startswith(str(path)) for fault in error.faults)
