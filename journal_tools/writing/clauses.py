"""What a clause says of water, doses, food and money."""

from __future__ import annotations

import re
from difflib import get_close_matches

from journal_tools.names import name_key
from journal_tools.writing.parameter_words import parameter_called, parameter_words
from journal_tools.writing.understood import Fragment, Unclear
from journal_tools.writing.vocabulary import Name, Vocabulary

Meaning = Fragment | Unclear | None
"""What a clause means; None if it is about something else."""

_NUMBER = r"[-+]?\d+(?:[.,]\d+)?"
_VOLUME_UNIT = (
    r"(?:l|lit(?:re|er)s?|ml|cm3|m3|us gal|imp gal|gal(?:lon)?s?|fl oz|qt|cups?)(?![^\W\d_])"
)
_MASS_UNIT = r"(?:kg|mg|g|grams?|lbs?|oz)(?![^\W\d_])"
_AMOUNT = rf"(?P<amount>{_NUMBER}\s*(?:{_VOLUME_UNIT}|{_MASS_UNIT})?)"
_VOLUME = rf"(?P<volume>{_NUMBER}\s*(?:{_VOLUME_UNIT})?)"
_SPELLINGS = (
    (r"\blit(?:re|er)s?\b|\bl\b", "L"),
    (r"\bgal(?:lon)?s?\b", "gal"),
    (r"\bgrams?\b", "g"),
)


def _flat(pattern: str) -> re.Pattern[str]:
    return re.compile(pattern, re.IGNORECASE)


def _amount(text: str) -> str | float:
    """Give an amount as an entry holds it: a bare number as a number."""
    text = re.sub(r"\s+", " ", text.strip())
    text = re.sub(r"(?<=\d)(?=[^\W\d_])", " ", text)
    for pattern, unit in _SPELLINGS:
        text = re.sub(pattern, unit, text, flags=re.IGNORECASE)
    return bare_number(text)


def bare_number(text: str) -> str | float:
    """Give a plain number as such, other text as it is; ``1,310`` stays for the reader to judge.

    >>> bare_number("8,2"), bare_number("420"), bare_number("8.2 dKH"), bare_number("1,310")
    (8.2, 420, '8.2 dKH', '1,310')
    """
    if re.fullmatch(r"[-+]?\d{1,15}", text):
        return int(text)
    if re.fullmatch(r"[-+]?\d{1,15}(?:\.\d{1,15}|,(?!\d{3}$)\d{1,15})", text):
        return float(text.replace(",", "."))
    return text


# --- Words of the keeper's own ----------------------------------------------------------------

_LABELLED = _flat(r"(?P<key>title|milestone|tags?|questions?)\s*:\s*(?P<text>.+)")


def labelled(clause: str, _vocabulary: Vocabulary) -> Meaning:
    """Understand ``title: First corals``, ``milestone: …``, ``tag: …`` and ``question: …``."""
    match = _LABELLED.fullmatch(clause)
    if not match:
        return None
    key = match["key"].lower().rstrip("s")
    return {f"{key}s": [match["text"]]} if key in ("tag", "question") else {key: match["text"]}


# --- Readings ---------------------------------------------------------------------------------

_VALUE = _flat(r"(?:(?:below|under|above|over)\b|[<>≤≥])?\s*[-+]?[.,]?\d.*")
_JOINT = _flat(r"\s*(?:\b(?:is|was|at|of)\b|[:=])?\s*")
_TIMING = _flat(
    r"(?P<value>.+?)\s+(?P<side>before|after) (?:the )?(?:water )?(?P<what>dose|change)"
)
_NONE_SEEN = _flat(r"(?P<name>\S.*?) (?:was |is )?(?:undetectable|not detected|none|nd|zero)")


def reading(clause: str, _vocabulary: Vocabulary) -> Meaning:
    """Understand ``alk 8.2``, ``nitrate < 0.25``, ``temp 78 F``, ``alk 9.2 before change``."""
    if (match := _NONE_SEEN.fullmatch(clause)) and parameter_called(match["name"]):
        what = "A test cannot show that there is none."
        hint = f"Write its lowest step, such as '{match['name']} <0.05', or the number it showed."
        return Unclear(clause, what, hint)
    split = _split_reading(clause)
    if split is None:
        return _near_reading(clause)
    name, unit, value = split
    timing = _TIMING.fullmatch(value)
    value = timing["value"] if timing else value
    written = bare_number(value)
    if unit and re.fullmatch(r"\D*[\d.,]+", value):
        written = f"{value} {unit}"
    if timing:
        when = f"{timing['side'].lower()} {timing['what'].lower()}"
        return {"readings": {name: {"value": written, "when": when}}}
    return {"readings": {name: written}}


def _split_reading(clause: str) -> tuple[str, str, str] | None:
    """Give parameter, unit that the word says, and value; the longest known word counts."""
    found = None
    for start in range(1, len(clause)):
        # A number is never cut ("no 35" is not "no3 5"), and a sign stays with it ("no2 <0.2").
        cuts_a_number = clause[start - 1].isdigit() and clause[start].isdigit()
        whole = clause[start - 1].isalnum() and not cuts_a_number
        called = parameter_called(clause[:start]) if whole else None
        joint = _JOINT.match(clause, start)
        assert joint is not None, "it may be empty"
        value = clause[joint.end() :]
        if called and _VALUE.fullmatch(value):
            found = called[0].name, called[1], value.strip()
    return found


def _near_reading(clause: str) -> Meaning:
    """Suggest the parameter of ``alkk 8.2``: one word, then nothing but a number."""
    match = _flat(rf"(?P<name>[^\W\d]{{3,}}) (?P<value>[<>]?\s*{_NUMBER})").fullmatch(clause)
    near = get_close_matches(name_key(match["name"]), parameter_words(), 1, 0.75) if match else []
    called = parameter_called(near[0]) if near else None
    if not match or not called:
        return None
    name = called[0].name.replace("_", " ")
    what = f"'{match['name']}' is no name of a reading."
    return Unclear(clause, what, f"Did you mean '{name} {match['value']}'?")


# --- Water ------------------------------------------------------------------------------------

_SHARE = _flat(rf".*?{_NUMBER}\s*%.*")
_CHANGE = (
    _flat(rf"(?:changed|replaced|swapped)\s+{_VOLUME}(?:\s+of)?(?:\s+(?:tank|salt|new))?"
          r"(?:\s*water)?"
          r"(?P<new>.*)"),
    _flat(rf"{_VOLUME}\s+(?:water change|wc)(?P<new>.*)"),
    _flat(rf"(?:did a |did |a )?(?:water change|wc)(?:\s+of)?[\s:]+{_VOLUME}(?P<new>.*)"),
)  # fmt: skip
_NEW_WATER = _flat(
    rf"\s*(?:,|with|at|of|\(|new water)*\s*(?:at|with)?\s*(?:salinity|new water)?\s*(?:of|at)?\s*"
    rf"(?P<salinity>{_NUMBER}\s*(?:psu|ppt|sg|ms/cm))\)?"
)
_TOP_OFF = (
    _flat(r"(?:topped (?:off|up)|top[- ]?off|top up|refilled|evaporated)(?:\s+with)?[\s:]+"
          rf"{_VOLUME}"
          r"(?:\s*(?:of )?(?:fresh|ro|rodi|ro/di|osmosis|top-off)?\s*water)?"
          r"(?:\s+(?:of|with)\s+(?P<what>.+))?"),
    _flat(rf"{_VOLUME}\s+(?:of )?(?:top[- ]?off|top[- ]?up|evaporation)(?P<what>)"),
    _flat(rf"added {_VOLUME}\s+(?:of )?(?:fresh|ro|rodi|ro/di|osmosis)\s*water(?P<what>)"),
)  # fmt: skip


def water_change(clause: str, _vocabulary: Vocabulary) -> Meaning:
    """Understand ``changed 20 l water``, ``20 l water change at 35 psu``."""
    about = _flat(r"\b(?:water|wc)\b").search(clause)
    if about and _flat(r"\b(?:changed?|replaced|wc)\b").search(clause) and _SHARE.fullmatch(clause):
        what = "A share of the tank is not a volume."
        return Unclear(clause, what, "Write how much water it was: 'changed 20 l water'.")
    match = _first(_CHANGE, clause)
    if match is None:
        return None
    change: Fragment = {"volume": _amount(match["volume"])}
    if match["new"].strip():
        new = _NEW_WATER.fullmatch(match["new"])
        if not new:
            return None
        salinity = re.sub(r"(?i)\bsg\b", "SG", new["salinity"])
        change["salinity"] = re.sub(r"\s+", " ", salinity)
    return {"water_change": [change if len(change) > 1 else change["volume"]]}


def top_off(clause: str, _vocabulary: Vocabulary) -> Meaning:
    """Understand ``topped off 4 l``, ``top-off 4 l with limewater``."""
    match = _first(_TOP_OFF, clause)
    if match is None:
        return None
    volume, what = _amount(match["volume"]), match["what"]
    return {"top_off": [{"volume": volume, "what": what} if what else volume]}


def _first(patterns: tuple[re.Pattern[str], ...], clause: str) -> re.Match[str] | None:
    return next((match for p in patterns if (match := p.fullmatch(clause))), None)


# --- Doses ------------------------------------------------------------------------------------

_DAILY = r"(?:\s+(?P<daily>a day|per day|each day|every day|daily))?"
_DOSE = (
    _flat(rf"(?P<verb>dosed|dose|dosing|added)?\s*{_AMOUNT}(?:\s+of)?\s+(?P<name>\D.*?){_DAILY}"),
    _flat(rf"(?P<verb>dosed|dose|dosing)?\s*(?P<name>\D.*?)[\s:]+{_AMOUNT}{_DAILY}"),
)
_STOP = _flat(r"(?:stopped|stop)(?: dosing)? (?P<name>.+)")


def dose(clause: str, vocabulary: Vocabulary) -> Meaning:
    """Understand ``30 ml alk mix``, ``dosed 30 ml alk mix``, ``dose 24 ml alk mix daily``."""
    if (stop := _STOP.fullmatch(clause)) and (
        supplement := vocabulary.find(stop["name"], "supplement")
    ):
        return {"dosing_plan": [{"what": supplement.name, "stopped": True}]}
    for pattern in _DOSE:
        if (match := pattern.fullmatch(clause)) is None:
            continue
        name = vocabulary.find(match["name"], "supplement")
        if name is not None:
            return _dose_of(name, match)
    unknown = _first(_DOSE, clause)
    if unknown is None or (unknown["verb"] or "").lower() in ("", "added"):
        return None
    return unknown_name(
        clause, unknown["name"], vocabulary, ("supplement",),
        "Describe it in tank.yml under 'supplements:' first.",
    )  # fmt: skip


def _dose_of(name: Name, match: re.Match[str]) -> Fragment:
    amount = _amount(match["amount"])
    if match["daily"]:
        return {"dosing_plan": [{"what": name.name, "per_day": amount}]}
    return {"doses": [{"what": name.name, "amount": amount}]}


def unknown_name(
    clause: str, written: str, vocabulary: Vocabulary, kinds: tuple[str, ...], otherwise: str
) -> Unclear:
    """Give what to say of a name that the journal does not know.

    Args:
        clause: The words around it.
        written: The name.
        vocabulary: The names of the journal.
        kinds: What it may be.
        otherwise: What to do if it is a new name.
    """
    near = tuple(name.name for name in vocabulary.near(written, *kinds))
    what = f"'{written}' is no name that this journal knows."
    meant = " or ".join(f"'{name}'" for name in near)
    hint = f"Did you mean {meant}? {otherwise}" if near else otherwise
    return Unclear(clause, what, hint, written, near)


# --- Food -------------------------------------------------------------------------------------

_FED = _flat(r"(?:fed|feeding|feed)(?: them)?[\s:]+(?P<foods>.+)")
_FOOD = (
    _flat(rf"(?P<mass>{_NUMBER}\s*{_MASS_UNIT})(?:\s+of)?\s+(?P<what>.+)"),
    _flat(rf"(?P<what>.+?)[\s(]+(?P<mass>{_NUMBER}\s*{_MASS_UNIT})\)?"),
    _flat(r"(?P<what>.+)(?P<mass>)"),
)


def feeding(clause: str, vocabulary: Vocabulary) -> Meaning:
    """Understand ``fed mysis``, ``fed 2 g frozen mysis and flakes``."""
    match = _FED.fullmatch(clause)
    if match is None:
        return None
    return {"feed": [_food(part, vocabulary) for part in _and_parts(match["foods"])]}


def _food(text: str, vocabulary: Vocabulary) -> Fragment | str:
    match = _first(_FOOD, text.strip())
    assert match is not None, "the last pattern takes anything"
    known = vocabulary.find(match["what"], "food")
    what = known.name if known else match["what"].strip()
    return {"what": what, "amount": _amount(match["mass"])} if match["mass"] else what


def _and_parts(text: str) -> list[str]:
    return [part for part in re.split(r"\s+(?:and|&|\+)\s+", text.strip()) if part]


# --- Money ------------------------------------------------------------------------------------

_SIGNS = {"€": "EUR", "$": "USD", "£": "GBP"}
_MONEY = r"(?P<money>[€$£]?\s*\d+(?:[.,]\d{1,2})?\s*(?:[€$£]|[A-Z]{3}\b)?)"
_COST = (
    re.compile(rf"(?i:spent|paid)\s+{_MONEY}\s+(?i:on|for)\s+(?P<what>.+)"),
    re.compile(rf"(?P<what>.+?)\s+(?i:costs?)\s+{_MONEY}"),
    re.compile(rf"(?i:costs?)\s*:?\s*(?P<what>.+?)\s+{_MONEY}"),
)
_CATEGORY = _flat(r"(?P<what>.+?)\s*(?:\(|\bas\b|\bcategory\b:?)\s*(?P<category>[^()]+?)\)?")


def cost(clause: str, _vocabulary: Vocabulary) -> Meaning:
    """Understand ``spent 54.90 on salt``, ``salt cost 54.90``, ``spent 12 on flakes (food)``."""
    match = _first(_COST, clause)
    if match is None:
        return None
    what, amount = match["what"], money(match["money"])
    category = _CATEGORY.fullmatch(what)
    if category:
        named = {"what": category["what"], "amount": amount, "category": category["category"]}
        return {"costs": [named]}
    return {"costs": [{"what": what, "amount": amount}]}


def money(text: str) -> str | float:
    """Give an amount of money as an entry holds it, with the letters of its currency.

    >>> money("€54.90"), money("54,9")
    ('54.90 EUR', 54.9)
    """
    sign = next((sign for sign in _SIGNS if sign in text), "")
    number = text.replace(sign, "").strip() if sign else text.strip()
    return f"{number} {_SIGNS[sign]}" if sign else bare_number(number)
