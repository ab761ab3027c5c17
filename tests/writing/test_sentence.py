"""Whole lines: what comes out of them, and what is said of those that are not clear."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from journal_tools.writing.sentence import understand
from journal_tools.writing.understood import read_fragment
from journal_tools.writing.vocabulary import Vocabulary
from tests.writing.conftest import TODAY


def data(line: str, vocabulary: Vocabulary) -> dict[str, Any]:
    understood = understand(line, vocabulary, TODAY)
    assert understood.unclear == ()
    return understood.data


def told(line: str, vocabulary: Vocabulary) -> list[str]:
    return [str(unclear) for unclear in understand(line, vocabulary, TODAY).unclear]


def test_the_line_of_the_manual(vocabulary: Vocabulary) -> None:
    line = "alk 8.2, ca 420, changed 20 l water, fed mysis, lost a turbo snail"
    assert data(line, vocabulary) == {
        "readings": {"alkalinity": 8.2, "calcium": 420},
        "water_change": ["20 L"],
        "feed": ["mysis"],
        "livestock": [{"lost": "turbo snail"}],
    }


def test_notes_are_kept_as_they_are(vocabulary: Vocabulary) -> None:
    assert data('alk 8, "Hot, very 🐠", "Größer"', vocabulary)["notes"] == "Hot, very 🐠\n\nGrößer"
    assert data("alk 8, note: a, b; \"c\" <0.2", vocabulary) == {
        "readings": {"alkalinity": 8}, "notes": 'a, b; "c" <0.2',
    }  # fmt: skip


def test_one_time_is_the_entry_s(vocabulary: Vocabulary) -> None:
    understood = understand("yesterday, alk 8.2 at 7:30 pm, fed mysis", vocabulary, TODAY)
    assert understood.day == dt.date(2026, 3, 30)
    assert understood.data["time"] == "19:30"


def test_several_times_stay_with_what_they_are_of(vocabulary: Vocabulary) -> None:
    assert data("at 8:00, alk 8.2 at 9:00, alk mix 30 ml at 21:00", vocabulary) == {
        "time": "08:00",
        "readings": {"alkalinity": {"value": 8.2, "time": "09:00"}},
        "doses": [{"what": "alk mix", "amount": "30 ml", "time": "21:00"}],
    }
    assert told("alk 8 at 9:00, fed mysis at 10:00", vocabulary) == [
        "'fed mysis at 10:00': An entry has one time of day, and several are named. Write one "
        "line for each time."
    ]


@pytest.mark.parametrize(
    ("line", "message"),
    [
        ("nitrite undetectable",
         "'nitrite undetectable': A test cannot show that there is none. Write its lowest step, "
         "such as 'nitrite <0.05', or the number it showed."),
        ("alkk 8.2",
         "'alkk 8.2': 'alkk' is no name of a reading. Did you mean 'alkalinity 8.2'?"),
        ("mg 1,310",
         "'mg 1,310': '1,310' can be read in two ways: 1310 or 1.310. Write 1310 without the "
         "comma, or a decimal point."),
        ("no 35", "'no 35': This is not understood. Put it in quotes to keep it as a note, or "
                  "see: journal-tools add"),
        ("alk 150",
         "'alk 150': Alkalinity of '150' is outside what can be (0.5 to 25 dKH). If it is in "
         "mg/L CaCO3, write '150 mg/L CaCO3'."),
        ("10 % water change",
         "'10 % water change': A share of the tank is not a volume. Write how much water it was: "
         "'changed 20 l water'."),
        ("dosed foo 30 ml",
         "'dosed foo 30 ml': 'foo' is no name that this journal knows. Describe it in tank.yml "
         "under 'supplements:' first."),
        ("lost a goby",
         "'lost a goby': 'goby' is no name that this journal knows. Did you mean 'yellow goby'? "
         "If it is new, write it into tank.yml under 'animals:' or, for an animal, "
         "'lost animal: goby'."),
        ("added turbo snial",
         "'added turbo snial': 'turbo snial' is no name that this journal knows. Did you mean "
         "'turbo snail'? If it is new, write it into tank.yml under 'animals:' or, for an "
         "animal, 'added animal: turbo snial'."),
        ("3 turbo snails",
         "'3 turbo snails': What happened is missing. Write 'added 3 turbo snails', 'lost 3 turbo "
         "snails', 'removed 3 turbo snails' or 'measured 3 turbo snails'."),
        ("2 clownfish 4 cm",
         "'2 clownfish 4 cm': What happened is missing. Write 'added 2 clownfish 4 cm', 'lost 2 "
         "clownfish 4 cm', 'removed 2 clownfish 4 cm' or 'measured 2 clownfish 4 cm'."),
        ("skimmer",
         "'skimmer': What happened is missing. Write 'installed skimmer', 'serviced skimmer', "
         "'removed skimmer' or 'skimmer failed'."),
        ("salt cost 58 USD",
         "'salt cost 58 USD': '58 USD' is not in EUR, the journal's currency. Convert it and "
         "write the amount in EUR."),
        ("alk 8 25:70",
         "'alk 8 25:70': There is no such day or time as '25:70'. Write a day like 2026-03-14 "
         "and a time like 18:40."),
        ("alk 8 yesterday, ca 420 today",
         "'2026-03-31': Two days are named: 2026-03-30 and 2026-03-31. Write one line for each "
         "day."),
        ("alk 8 on 2026-04-01",
         "'2026-04-01': The day 2026-04-01 is still to come. Write the day on which it happened."),
        ("title: a, title: b", "'title: b': An entry has one title. Keep one of the two."),
        ("it was a fine day",
         "'it was a fine day': This is not understood. Put it in quotes to keep it as a note, or "
         "see: journal-tools add"),
    ],
)  # fmt: skip
def test_what_is_not_clear_says_what_to_write(
    line: str, message: str, vocabulary: Vocabulary
) -> None:
    assert told(line, vocabulary) == [message]


SOME_WORDS = """
    alk 8.2 8,2 ca 420 < below changed 20 l water fed 2 g mysis lost a turbo snail snails and
    cleaned glass skimmer 30 ml mix dosed at 18:40 7 pm yesterday 14 March for €45 because note:
    title: , ; " “ ” - 1,310 no3 5 % installed to 🐠 ü : ( ) before change 2026-03-14
"""
WORDS = st.sampled_from(SOME_WORDS.split())


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=300)
@given(line=st.one_of(st.lists(WORDS, max_size=12).map(" ".join), st.text(max_size=60)))
def test_no_line_fails_and_what_is_clear_passes_a_check(line: str, vocabulary: Vocabulary) -> None:
    understood = understand(line, vocabulary, TODAY)
    if not understood.unclear:
        _, problems = read_fragment(understood.data, vocabulary.profile)
        assert problems == []


LIMITS = st.tuples(
    st.sampled_from(["no2", "nitrate", "po4", "nh3"]), st.sampled_from(["<", "< ", " <", " < "]),
    st.decimals("0.01", "2", places=2),
)  # fmt: skip


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(limit=LIMITS)
def test_a_limit_stays_a_limit(limit: tuple[str, str, object], vocabulary: Vocabulary) -> None:
    name, sign, number = limit
    record, _ = read_fragment(data(f"{name}{sign}{number}", vocabulary), vocabulary.profile)
    assert record is not None
    readings = [r for p in type(record.readings).model_fields for r in getattr(record.readings, p)]
    assert [(r.value.censored, r.value.value) for r in readings] == [("below", float(str(number)))]
