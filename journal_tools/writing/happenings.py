"""What a clause says of animals, equipment and upkeep."""

from __future__ import annotations

import re

from journal_tools.writing.clauses import Meaning, money, unknown_name
from journal_tools.writing.understood import Fragment, Unclear
from journal_tools.writing.vocabulary import Name, Vocabulary

_COUNTS = {
    word: number
    for number, word in enumerate(
        ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"), 1
    )
} | {"a": 1, "an": 1, "another": 1, "the": 1, "my": 1, "our": 1}
_VERBS = {
    "added": ("added", "add", "bought", "got", "introduced", "put in"),
    "lost": ("lost", "found dead"),
    "removed": ("removed", "gave away", "moved out", "moved", "sold", "rehomed", "took out"),
    "measured": ("measured",),
    "installed": ("installed", "fitted", "set up"),
    "changed": ("changed", "adjusted", "set", "turned", "replaced"),
    "serviced": ("serviced", "overhauled", "descaled"),
    "failed": (),
    "done": ("cleaned", "emptied", "wiped", "checked", "rinsed"),
    "task": ("upkeep", "did", "done"),
}
"""Words that begin a clause, by what they say; what they say it of decides the section."""

_ENDINGS = {
    "lost": ("died", "has died", "is dead", "dead", "found dead", "lost"),
    "failed": ("failed", "broke", "broke down", "has failed", "is broken", "stopped"),
    "installed": ("installed",),
    "removed": ("removed",),
    "done": ("cleaned", "emptied", "done", "changed", "checked", "wiped", "rinsed"),
    "serviced": ("serviced", "descaled"),
}
"""Words that end a clause: ``turbo snail died``."""

_ANIMAL, _PIECE = ("added", "lost", "removed", "measured"), (
    "installed", "changed", "serviced", "removed", "failed", "done",
)  # fmt: skip
_TASK = ("done", "changed", "task")
_NUMBER = r"\d+(?:[.,]\d+)?"
_SIZE = re.compile(
    rf"(?i)[\s(]*(?:of |at |is |, )?(?P<size>{_NUMBER}\s*(?:cm|mm|in|inch|inches))\)?"
)
_PRICE = re.compile(
    r"\s+(?i:for|at)\s+(?P<price>[€$£]?\s*\d+(?:[.,]\d{1,2})?\s*(?:[€$£]|[A-Z]{3}\b)?)"
)
_WHY = re.compile(r"(?i)\s*(?:\bbecause(?: of)?\b|\bwhy:|:| - | – )\s*(?P<why>\S.*)")
_COUNT = re.compile(
    rf"(?i)(?P<count>\d{{1,5}}(?=\s|x\s|×)|(?:{'|'.join(_COUNTS)})(?=\s))\s*[x×]?\s*(?P<name>.+)"
)
_KIND = re.compile(r"(?i)(?:(?:new|animal|fish|coral|snail|shrimp|crab)\s*:\s*|new animal\s+)(.+)")


def happening(clause: str, vocabulary: Vocabulary) -> Meaning:
    """Understand ``lost a turbo snail``, ``installed skimmer``, ``cleaned glass``, ``glass``."""
    for verb, of_what in _split_verb(clause):
        meaning = _of(verb, of_what, clause, vocabulary)
        if meaning is not None:
            return meaning
    return without_verb(clause, vocabulary)


def _split_verb(clause: str) -> list[tuple[str, str]]:
    found = []
    for verb, words in _VERBS.items():
        for word in sorted(words, key=len, reverse=True):
            if match := re.fullmatch(rf"(?i){word}\b:?\s+(.+)", clause):
                found.append((verb, match[1]))
                break
    for verb, words in _ENDINGS.items():
        for word in sorted(words, key=len, reverse=True):
            if match := re.fullmatch(rf"(?i)(.+?)\s+{word}(\s+because\b.*)?", clause):
                found.append((verb, match[1] + (match[2] or "")))
                break
    return found


def _of(verb: str, of_what: str, clause: str, vocabulary: Vocabulary) -> Meaning:
    """Let each thing of ``a clownfish and 2 turbo snails`` say which section it belongs to."""
    whole = _one_thing(verb, of_what, clause, vocabulary)
    parts = re.split(r"\s+(?:and|&|\+)\s+", of_what)
    if len(parts) == 1 or (whole is not None and not isinstance(whole, Unclear)):
        return whole
    meanings = [_one_thing(verb, part, clause, vocabulary) for part in parts]
    if all(isinstance(meaning, dict) for meaning in meanings):
        joined: Fragment = {}
        for meaning in meanings:
            assert isinstance(meaning, dict)
            for key, items in meaning.items():
                joined[key] = [*joined.get(key, []), *items]
        return joined
    return next((m for m in meanings if isinstance(m, Unclear)), whole)


def _one_thing(verb: str, text: str, clause: str, vocabulary: Vocabulary) -> Meaning:
    found: list[Meaning] = []
    if verb in _ANIMAL:
        found.append(_animal(verb, text, vocabulary))
    if verb in _PIECE:
        found.append(_piece(verb, text, vocabulary))
    if verb in _TASK or (verb == "serviced" and not any(found)):
        found.append(_task(text, vocabulary))
    meanings = [meaning for meaning in found if meaning is not None]
    if len(meanings) == 1:
        return meanings[0]
    if meanings:
        return _two_meanings(text, clause)
    return _unknown(verb, text, clause, vocabulary)


def _two_meanings(text: str, clause: str) -> Unclear:
    what = f"'{text}' is both a task and a piece of equipment."
    return Unclear(clause, what, f"Write 'upkeep {text}' or 'serviced {text}'.")


# --- Animals ----------------------------------------------------------------------------------


def _animal(verb: str, text: str, vocabulary: Vocabulary) -> Fragment | None:
    details, rest = _details(text, bought=verb == "added")
    new = _KIND.fullmatch(rest)
    count, name = _counted(new[1] if new else rest)
    known = vocabulary.find(name, "animal")
    if known is None and new is None:
        return None
    event: Fragment = {verb: known.name if known else name}
    if count > 1:
        event["count"] = count
    return {"livestock": [event | details]}


def _details(text: str, *, bought: bool = False) -> tuple[Fragment, str]:
    """Give size, price and reason, and what is left: the count and the name."""
    details: Fragment = {}
    if (why := _WHY.search(text)) and not _KIND.fullmatch(text):
        details["why"], text = why["why"], text[: why.start()]
    if bought and (price := _PRICE.search(text)):
        details["price"] = money(price["price"])
        text = text[: price.start()] + text[price.end() :]
    if size := _SIZE.search(text):
        length = re.sub(r"(?<=\d)(?=[^\W\d_])", " ", size["size"])
        details["length"] = re.sub(r"\s+", " ", length).lower()
        text = text[: size.start()] + " " + text[size.end() :]
    order = ("length", "why", "price")
    return {key: details[key] for key in order if key in details}, text.strip(" ,")


def _counted(text: str) -> tuple[int, str]:
    match = _COUNT.fullmatch(text.strip())
    if not match:
        return 1, text.strip()
    count = match["count"].casefold()
    return _COUNTS.get(count) or int(count), match["name"]


# --- Equipment and upkeep ---------------------------------------------------------------------


def _piece(verb: str, text: str, vocabulary: Vocabulary) -> Fragment | None:
    price = _PRICE.search(text) if verb == "installed" else None
    name, setting = (text[: price.start()] if price else text), ""
    if verb == "changed" and (match := re.fullmatch(r"(?i)(.+?)\s+to\s+(.+)", text)):
        name, setting = match[1], match[2]
    why = _WHY.search(name)
    known = vocabulary.find(name[: why.start()] if why else name, "equipment")
    if known is None:
        return None
    event: Fragment = {"serviced" if verb == "done" else verb: known.name}
    event |= {"to": setting} if setting else {}
    event |= {"price": money(price["price"])} if price else {}
    event |= {"note": why["why"]} if why else {}
    return {"equipment": [event]}


def _task(text: str, vocabulary: Vocabulary) -> Fragment | None:
    known = vocabulary.find(text, "task")
    return {"upkeep": [known.name]} if known else None


def without_verb(clause: str, vocabulary: Vocabulary) -> Meaning:
    """Understand a task by its name alone, and ``lawn blenny 8 cm`` as a measurement."""
    task = _task(clause, vocabulary)
    if task is not None:
        return task
    size = _SIZE.search(clause)
    if size and size.end() == len(clause):
        measured = _animal("measured", clause, vocabulary)
        if measured is not None and "count" not in measured["livestock"][0]:
            return measured
    name = vocabulary.find(_counted(_details(clause)[1])[1], "animal", "equipment", "supplement")
    return _lacks_a_verb(clause, name) if name else None


def _lacks_a_verb(clause: str, name: Name) -> Unclear:
    write = {
        "animal": f"'added {clause}', 'lost {clause}', 'removed {clause}' or 'measured {clause}'",
        "equipment": f"'installed {clause}', 'serviced {clause}', 'removed {clause}' or "
        f"'{clause} failed'",
        "supplement": f"'30 ml {clause}'",
    }[name.kind]
    return Unclear(clause, "What happened is missing.", f"Write {write}.")


def _unknown(verb: str, text: str, clause: str, vocabulary: Vocabulary) -> Meaning:
    kinds: tuple[str, ...] = ()
    kinds += ("animal",) if verb in _ANIMAL else ()
    kinds += ("equipment",) if verb in _PIECE else ()
    kinds += ("task",) if verb in (*_TASK, "serviced") else ()
    name = re.sub(r"(?i)\s+to\s+.+", "", _counted(_details(text)[1])[1])
    section = "' or '".join(
        {"animal": "animals:", "equipment": "equipment:", "task": "upkeep:"}[k] for k in kinds
    )
    new = f" or, for an animal, '{verb} animal: {name}'" if verb in _ANIMAL else ""
    otherwise = f"If it is new, write it into tank.yml under '{section}'{new}."
    return unknown_name(clause, name, vocabulary, kinds, otherwise)
