"""The command ``explain``."""

from __future__ import annotations

from journal_tools.keys import all_keys
from journal_tools.writing.explain_command import reference
from tests.command import Outcome

PLUMBING = """\
equipment.plumbing (in tank.yml)
  Of a return pump: its pipes, for the flow that it really gives.
  Write: keys and values
  Keys inside: static_head, pipes, fittings
  Example:
    equipment:
    - name: return pump
      kind: return pump
      plumbing:
        static_head: 1.25 m
        pipes:
          length: 1.6 m
          bore: 25 mm
          fittings: {elbow_90: 4}
"""
HEIGHT = """\
#### `stand.feet`

On how many feet it stands.

- Write: a whole number, 1 to 32

```yaml
stand: {rated_load: 400 kg, feet: 6}
```
"""


def test_one_key() -> None:
    outcome = Outcome("explain", "equipment.plumbing")
    assert (outcome.code, outcome.out, outcome.err) == (0, PLUMBING, "")


def test_units_words_and_what_is_needed() -> None:
    assert Outcome("explain", "food.protein").code == 2
    assert Outcome("explain", "foods.protein").out == (
        "foods.protein (in tank.yml)\n"
        "  Share of the food as given, wet or dry, by its label.\n"
        "  Write: a share in percent; a bare number is %\n"
        "  Units: %, percent\n"
        "  Example:\n    foods:\n    - {name: frozen mysis, protein: 9 %}\n"
    )
    assert "  Needed: yes\n" in Outcome("explain", "vessels.name").out
    assert "  Words: metric, us\n  If left out: metric\n" in Outcome("explain", "system").out


def test_a_key_of_both_files_is_told_twice() -> None:
    told = Outcome("explain", "upkeep").out
    assert "upkeep (in tank.yml)\n" in told
    assert "upkeep (in an entry)\n" in told


def test_an_unknown_key() -> None:
    outcome = Outcome("explain", "plumbin")
    assert (outcome.code, outcome.out) == (2, "")
    assert outcome.err == "There is no key 'plumbin'. Did you mean 'equipment.plumbing'?\n"
    outcome = Outcome("explain", "xyzzy")
    assert outcome.err == "There is no key 'xyzzy'. For a list: journal-tools explain\n"


def test_without_a_key_there_is_a_list() -> None:
    outcome = Outcome("explain")
    assert outcome.code == 0
    assert outcome.out.startswith("Keys of tank.yml:\n  name           What you call the tank.\n")
    assert "\nKeys of an entry:\n  date          Only if the file name" in outcome.out


def test_markdown() -> None:
    assert Outcome("explain", "stand.feet", "--markdown").out == HEIGHT
    every = Outcome("explain", "--all", "--markdown").out
    assert every == reference()
    assert every.count("```yaml\n") == len(all_keys())
    assert every.startswith("# Every key\n")
    assert HEIGHT in every
