"""Adding a row to a sheet and changing one, as `add` and `amend` do; nothing is written here.

What comes out is a whole checked sheet, or a refusal that says what to type instead.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from bedplate.errors import NotUnderstoodError
from bedplate.sheet.bands_typed import typed_bands, typed_stages
from bedplate.sheet.checker import check_sheet
from bedplate.sheet.faults import Fault
from bedplate.sheet.model import NOUNS, Row, Sheet, name_of
from bedplate.sheet.model_faults import read_axes, read_row
from bedplate.sheet.odd_values import unseen
from bedplate.sheet.option_values import Given, one_text, pairs, read_option, split_names, texts
from bedplate.sheet.options import OPTIONS, Option
from bedplate.sheet.scope import SINGULAR, a
from bedplate.text import listed, near_or_list, quoted

__all__ = ["OPTIONS", "Option", "with_row", "with_row_amended"]

_ADDED = "Not added."
_CHANGED = "Not changed."


def with_row(sheet: Sheet, noun: str, name: str, options: Mapping[str, Given]) -> Sheet:
    """Return a sheet with one row more.

    Args:
        sheet: a sound sheet.
        noun: one of `OPTIONS`.
        name: the tag or id of the row, or the axis.
        options: texts by the key of the option (``part_number`` or ``part-number``); those that
            may be given several times as a list.

    Raises:
        NotUnderstoodError: it cannot be added; the message begins "Not added." and ends with
            what to type.
    """
    return _Edit(sheet, noun, name, _ADDED).make(options)


def with_row_amended(sheet: Sheet, noun: str, name: str, options: Mapping[str, Given]) -> Sheet:
    """Return a sheet with keys of one row replaced; an empty text takes a key away.

    Raises:
        NotUnderstoodError: there is no such row, or what comes of it is faulty; the message
            begins "Not changed." and ends with what to type.
    """
    return _Edit(sheet, noun, name, _CHANGED).make(options)


class _Edit:
    """One change of a sheet, being put together."""

    def __init__(self, sheet: Sheet, noun: str, name: str, fate: str) -> None:
        self.sheet = sheet
        self.noun = noun
        self.name = name
        self.fate = fate
        self.axes: dict[str, Any] = dict(sheet.axes or {})
        self.row: Row | None = None

    @property
    def what(self) -> str:
        """The noun with its article."""
        return a(SINGULAR.get(self.noun, self.noun))

    @property
    def amends(self) -> bool:
        """Whether a row that is there is changed."""
        return self.fate == _CHANGED

    def make(self, options: Mapping[str, Given]) -> Sheet:
        """Return the changed sheet, checked."""
        try:
            given = self.known(options)
            make = self.with_axis if self.noun == "axis" else self.with_row
            changed = make(given)
        except NotUnderstoodError as error:
            raise NotUnderstoodError(f"{self.fate} {error.message}", *error.hint) from None
        for fault in check_sheet(changed):
            raise self.refusal(fault)
        return changed

    def refusal(self, fault: Fault) -> NotUnderstoodError:
        """Return a fault of the changed sheet as a refusal."""
        text, *hint = fault.text.split("\n")
        own = fault.shown.partition(",")[0] == f"{self.noun} {self.name}"
        where = "" if own or not fault.shown else f"{fault.shown}: "
        if own and "has no unit, and the sheet" in text:
            hint = ["Type the same again with:  --unit mm   or   --unit in"]
        return NotUnderstoodError(f"{self.fate} {where}{text}", *hint)

    def known(self, options: Mapping[str, Given]) -> dict[str, tuple[Option, Given]]:
        """Return the options by key; one that this noun does not have is refused."""
        by_key = {option.key: option for option in OPTIONS[self.noun]}
        found: dict[str, tuple[Option, Given]] = {}
        for name, given in options.items():
            key = name.replace("-", "_")
            if key not in by_key:
                known = [f"--{option.name}" for option in by_key.values()]
                raise NotUnderstoodError(
                    f"{self.what.capitalize()} has no option --{name}.",
                    near_or_list(f"--{name}", known, "Options"),
                )
            for text in texts(given):
                if (said := unseen(text)) is not None:
                    raise NotUnderstoodError(f"--{name}: {said}")
            found[key] = by_key[key], given
        return found

    # ---- axes ----------------------------------------------------------------------------

    def with_axis(self, given: Mapping[str, tuple[Option, Given]]) -> Sheet:
        """Return the sheet with one axis more, or with other names on it."""
        here = next((axis for axis in self.axes if axis.casefold() == self.name.casefold()), None)
        if self.amends and here is None:
            raise NotUnderstoodError(
                f"There is no axis {quoted(self.name)}.",
                near_or_list(self.name, list(self.axes), "Axes"),
            )
        if here is not None and not self.amends:
            raise NotUnderstoodError(
                f"There is an axis {here} already ({listed(list(self.axes[here]))}).",
                f"To change it:  bedplate amend axis {here} --names a,b --why ...",
            )
        if "names" not in given:
            raise NotUnderstoodError(
                "An axis needs its names.", f"Type:  --names a,b,c   for {self.name}"
            )
        option, typed = given["names"]
        joined = ",".join(texts(typed))
        self.axes[here or self.name] = (
            pairs(option, joined) if "=" in joined else tuple(split_names(typed))
        )
        return self.rebuilt({})

    def along(self, option: Option, given: Given) -> Any:
        """Return what a positions or stations option says, making an axis of a list of names."""
        text = one_text(option, given)
        folds = {axis.casefold(): axis for axis in self.axes}
        parts = [part.strip() for part in text.split("/")]
        if text in ("", "none"):
            return ""
        if all(part.casefold() in folds for part in parts):
            return "/".join(folds[part.casefold()] for part in parts)
        if "," not in text:
            missing = next(part for part in parts if part.casefold() not in folds)
            raise NotUnderstoodError(
                f"No axis {quoted(missing)}. {near_or_list(missing, list(self.axes), 'Axes')}",
                f"Several names make an axis:  --{option.name} a,b",
            )
        return self.new_axis(option, tuple(split_names(text)))

    def new_axis(self, option: Option, names: tuple[str, ...]) -> str:
        """Return the axis that has these names: one that is there, or a new one."""
        if option.key == "positions":
            for axis, there in self.axes.items():
                if tuple(there) == names:
                    return axis
        taken = {axis.casefold() for axis in self.axes}
        name = self.name
        if self.amends and getattr(self.row, option.key) == name:
            taken.discard(name.casefold())  # its own axis: the names on it change
        if name.casefold() in taken:
            name = f"{self.name}-{option.key}"
        if name.casefold() in taken:
            raise NotUnderstoodError(
                f"There is an axis {name} already ({listed(list(self.axes[name]))}).",
                f"Name yours first:  bedplate add axis NAME --names {','.join(names)}",
            )
        self.axes[name] = names
        return name

    # ---- rows ----------------------------------------------------------------------------

    def with_row(self, given: Mapping[str, tuple[Option, Given]]) -> Sheet:
        """Return the sheet with the row added or replaced."""
        here = self.place()
        naming = "tag" if self.noun in ("feature", "fit", "fasteners", "proof") else "id"
        raw: dict[str, Any] = {naming: self.name}
        if here is not None:
            self.row = self.sheet.rows(self.noun)[here]
            raw = self.row.as_json()
        self.fill(raw, given)
        self.needs(raw)
        row = read_row(self.noun, raw)
        rows = list(self.sheet.rows(self.noun))
        if here is None:
            rows.append(row)
        else:
            rows[here] = row
        return self.rebuilt({self.noun: tuple(rows)})

    def place(self) -> int | None:
        """Return where the row stands that is changed; None for one to be added."""
        for noun in NOUNS:
            for at, row in enumerate(self.sheet.rows(noun)):
                if name_of(row).casefold() == self.name.casefold():
                    return self.met(noun, at, row)
        if not self.amends:
            return None
        names = [name_of(row) for row in self.sheet.rows(self.noun)]
        raise NotUnderstoodError(
            f"There is no {SINGULAR[self.noun]} {quoted(self.name)}.",
            near_or_list(self.name, names, "There are"),
        )

    def met(self, noun: str, at: int, row: Row) -> int:
        """Return the place of the row of that name, if it is the one meant."""
        name = name_of(row)
        if not self.amends:
            raise NotUnderstoodError(
                f"There is {a(SINGULAR[noun])} {name} already; all names of a sheet differ.",
                f"To change it:  bedplate amend {noun} {name} ... --why ...",
            )
        if noun != self.noun:
            raise NotUnderstoodError(
                f"{name} is {a(SINGULAR[noun])}.",
                f"Type:  bedplate amend {noun} {name} ... --why ...",
            )
        self.name = name
        return at

    def fill(self, raw: dict[str, Any], given: Mapping[str, tuple[Option, Given]]) -> None:
        """Put the values of the options into the row's keys."""
        of_band = {
            key: texts(typed)
            for key, (option, typed) in given.items()
            if option.form in ("band", "part of band", "stages")
        }
        for key, (option, typed) in given.items():
            if key in of_band:
                continue
            if self.amends and texts(typed) == [""]:
                raw.pop(key, None)
            elif option.form == "along":
                raw[key] = self.along(option, typed)
            else:
                raw[key] = read_option(option, typed)
        if isinstance(raw.get("of"), list) and len(raw["of"]) == 1:
            raw["of"] = raw["of"][0]
        if of_band and self.noun == "fit":
            typed_bands(raw, of_band, self.sheet.source)
        elif of_band:
            typed_stages(raw, of_band, self.sheet.source)

    def needs(self, raw: Mapping[str, Any]) -> None:
        """Refuse a row that lacks what it must have."""
        components = [name_of(row) for row in self.sheet.component]
        if self.noun == "feature" and not raw.get("of"):
            there = f" Components: {listed(components)}." if components else ""
            raise NotUnderstoodError(
                f"A feature is measured on a component: on which?{there}",
                f"Type the same again with, for example:  --of {(components or ['body'])[0]}",
            )
        if self.noun == "fit" and not any(raw.get(k) for k in ("stack", "spread", "flatness")):
            raise NotUnderstoodError(
                "A fit says what it is worked out from.",
                'Type the same again with, for example:  --stack "D - H"',
            )
        if self.noun == "step" and not raw.get("text"):
            raise NotUnderstoodError(
                "A step says what is to be done.",
                'Type the same again with, for example:  --text "Cover, new gasket, nuts"',
            )
        if self.noun == "proof" and not (raw.get("text") or raw.get("fit")):
            raise NotUnderstoodError(
                "A proof says what is to be shown, or by which fit it passes.",
                'Type the same again with, for example:  --text "Turns freely by hand"',
            )
        if self.noun == "size" and not raw.get("nominal"):
            raise NotUnderstoodError(
                "A size says the nominals it changes.",
                "Type the same again with, for example:  --nominal PJ=47.490,PB=47.530",
            )

    def rebuilt(self, changes: dict[str, Any]) -> Sheet:
        """Return the sheet with these tables and the present axes in place of its own."""
        if self.axes != dict(self.sheet.axes or {}):
            changes = {**changes, "axes": read_axes(self.axes)}
        return self.sheet.model_copy(update=changes)
