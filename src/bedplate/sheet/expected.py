"""What each key of a sheet wants, in the words of the messages that say it is not so."""

from __future__ import annotations

from bedplate.text import nearest, quoted

AT_THE_TOP = ("format", "title", "revision", "moments")
"""Keys that belong to the whole sheet alone."""

_LIST = "{key} is a list:  {key} = [{example}]"
_LISTS = {
    "when": '"N"',
    "leave": '"ridge"',
    "order": '"1", "3", "2", "4"',
    "holds": '"body", "cover"',
    "prove": '"SPIN"',
    "hold": '"SPIN"',
    "after": '"gears-in"',
    "moments": '"handover", "first run"',
    "stages": '{ limits = "16..18 lbf*ft", source = "p. 34" }',
    "adjust": '{ feature = "D", make = "smaller" }',
}
_ALONG = (
    "{key} names axes, joined by / in the order of the address, or has one axis in place:\n"
    '{key} = "cyl/port"   or   {key} = { way = ["a", "b"] }'
)
_EXPECTED = {
    "of": 'of is the component it is measured on:  of = "body"  or  of = ["gear", "body"]',
    "positions": _ALONG.replace("{key}", "positions"),
    "stations": _ALONG.replace("{key}", "stations"),
    "nominal": "nominal is a figure, or one by name:\n"
    'nominal = "1.0030"   or   nominal = { in = "7.980", ex = "7.965" }',
    "sizes": "sizes is a range with its step, or a list:\n"
    'sizes = "2.40..3.10 step 0.05 mm"   or   sizes = ["2.40 mm", "2.45 mm"]',
    "band": "A band stands in { }, or several in a list:\n"
    'band = { limits = "2..4 thou", source = "p. 31" }',
    "count": "count is a whole number from 1 to 100,000, without quotes:  count = 4",
    "times": "times is a whole number from 1 to 100,000, without quotes:  times = 2",
    "renew": "renew is true or false, without quotes:  renew = true",
    "signed": "signed is true or false, without quotes:  signed = true",
    "spends": "spends says for each state what is used up, and how many:\n"
    'spends = { tight = { gasket = 1 }, locked = { "tab washer" = 4 } }',
    "leaves": 'leaves says the state of each set:  leaves = { N = "tight" }',
    "axes": 'axes is a table of names:  [axes]  and below it  gear = ["driver", "idler"]',
}
_INNER_TEXTS = frozenset({"limits", "source", "wear", "aim", "from", "for", "feature", "effect"})
_MISSING = {
    "id": 'id = "EXAMPLE"',
    "tag": 'tag = "EXAMPLE"',
    "of": 'of = "body"',
    "text": 'text = "Cover, new gasket, nuts"',
    "limits": 'limits = "2..4 thou"',
    "feature": 'feature = "D"',
    "nominal": 'nominal = { MJ = "59.490", MB = "59.540" }',
}
_EXAMPLES = {
    "component": "body",
    "feature": "H",
    "size": "u50",
    "fit": "EC",
    "fasteners": "N",
    "proof": "SPIN",
    "step": "close",
}
_HOMES = {
    "low": "limits",
    "high": "limits",
    "min": "limits",
    "max": "limits",
    "tolerance": "limits",
    "limit": "limits",
    "limits": "band",
    "source": "band",
    "wear": "band",
    "aim": "band",
}


def expected(*keys: str, noun: str = "") -> str:
    """Return what is wanted of a key.

    Args:
        *keys: the key, then what it stands in, innermost first.
        noun: the table.
    """
    if noun == "size" and "nominal" in keys:
        return f"nominal gives each feature its figure:  {_MISSING['nominal']}"
    for key in keys:
        if key in _LISTS:
            return _LIST.format(key=key, example=_LISTS[key])
        if key in _EXPECTED:
            return _EXPECTED[key]
        if key in _INNER_TEXTS:
            break
    key = keys[0] if keys else "This"
    return f'{key} is a text in straight quotes:  {key} = "..."'


def missing(noun: str, key: str) -> str:
    """Return what is said of a key that a table must have.

    Args:
        noun: the table.
        key: what it lacks.
    """
    example = _MISSING.get(key, f'{key} = "..."').replace("EXAMPLE", _EXAMPLES.get(noun, "A"))
    article = "an" if noun[0] in "aeiou" else "a"
    what = {"fasteners": "A set of fasteners"}.get(noun, f"{article} {noun}".capitalize())
    return f"{what} needs its {key}:  {example}"


def double_brackets(noun: str) -> str:
    """Return what is said of a table that should be one of several."""
    return f"There may be several of them, so it takes double brackets:  [[{noun}]]"


def other_home(key: str, known: list[str] | None = None) -> str:
    """Return where a key that is often put in the wrong place belongs, nothing if unknown.

    Args:
        key: the key that is not known here.
        known: the keys that are.
    """
    if key in AT_THE_TOP:
        return f"{quoted(key)} belongs at the top of the sheet, above the first [ ]."
    home = _HOMES.get(key)
    if home == "limits" and known and "limits" in known:
        return "" if nearest(key, known) else 'Both stand in one text:  limits = "2..4 thou"'
    if home == "limits":
        return 'Both limits stand in one text:  band = { limits = "2..4 thou", source = "p. 31" }'
    if home == "band" and known and "band" in known:
        return f'{quoted(key)} belongs inside the band:  band = {{ limits = "2..4 thou", ... }}'
    return ""
