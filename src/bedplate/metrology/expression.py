"""Reading the text of a stack: tags, figures, ``+ - * /`` and brackets, and nothing else.

What comes out is a *form*: either a figure, or a sum of tags each times a figure. Where the two
would mix (a figure added to a tag) or leave the straight line (a tag times a tag), the text is
refused on the spot.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from fractions import Fraction

from bedplate.errors import NotUnderstoodError
from bedplate.metrology.axes import Shape
from bedplate.text import listed, near_or_list, quoted

MOST_LENGTH = 4_000
"""The most characters a stack may have."""

MOST_DIGITS = 20
"""The most digits a figure in a stack may have."""

MOST_NESTING = 16
"""How deep brackets and signs may stand in one another."""

Fixed = tuple[tuple[str, str], ...]
"""(axis name, name) pairs, in the order of the feature's axes."""

Tags = dict[tuple[str, Fixed], Fraction]
"""How often each tag, held at these names, counts; 0 where it has cancelled."""

_MINUS = "-\N{MINUS SIGN}\N{EN DASH}"
_WORD = re.compile(r"[\w-]+")
_NUMBER = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")
_SPACE = re.compile(r"\s*")


def read_expression(text: str, shapes: Mapping[str, Shape]) -> Fraction | Tags:
    """Return what a stack's text comes to: a figure alone, or tags each times a figure.

    Args:
        text: the stack as typed; U+2212 and the en dash count as minus.
        shapes: every feature that may be named.

    Raises:
        NotUnderstoodError: the text is no sum of tags; said in a person's words.

    >>> read_expression("2*(S - t)/3", {"S": Shape("S"), "T": Shape("T")})
    {('S', ()): Fraction(2, 3), ('T', ()): Fraction(-2, 3)}
    >>> read_expression("3/8", {})
    Fraction(3, 8)
    """
    if len(text) > MOST_LENGTH:
        raise NotUnderstoodError(f"A stack may have {MOST_LENGTH} characters, not {len(text)}.")
    return _Reader(text, shapes).whole()


class _Reader:
    """One pass over one text, by recursive descent."""

    def __init__(self, text: str, shapes: Mapping[str, Shape]) -> None:
        self.text = text
        self.shown = quoted(text)
        self.shapes = {shape.tag.casefold(): shape for shape in shapes.values()}
        self.at = 0
        self.depth = 0

    def whole(self) -> Fraction | Tags:
        """Read everything; what is left over is the fault."""
        form = self.sum()
        if self.peek() == ")":
            raise self.fault('a ")" closes nothing')
        if self.peek():
            raise self.fault(f"+, -, * or / is missing before {self.here()}")
        return form

    def sum(self) -> Fraction | Tags:
        """Read what + and - join."""
        form = self.product()
        while (sign := self.peek()) and sign in "+" + _MINUS:
            self.at += 1
            right = self.product()
            form = self.added(form, right if sign == "+" else _times(right, Fraction(-1)))
        return form

    def product(self) -> Fraction | Tags:
        """Read what * and / join."""
        form = self.factor()
        while (sign := self.peek()) and sign in "*/":
            self.at += 1
            right = self.factor()
            form = self.multiplied(form, right) if sign == "*" else self.divided(form, right)
        return form

    def factor(self) -> Fraction | Tags:
        """Read a tag, a figure, a bracket or a signed one of these."""
        char = self.peek()
        if char and char in "+(" + _MINUS:
            return self.nested(char)
        word = _WORD.match(self.text, self.at)
        number = _NUMBER.match(self.text, self.at)
        tag = _longest(word[0], self.shapes) if word else None
        if number and (tag is None or len(tag) <= len(number[0])):
            return self.figure(number[0], word[0] if word else "")
        if tag is not None:
            self.at += len(tag)
            return {self.reference(self.shapes[tag.casefold()]): Fraction(1)}
        raise self.unknown_tag(word[0]) if word else self.nothing_here()

    def nested(self, char: str) -> Fraction | Tags:
        """Read a bracket or a signed factor, one deeper."""
        self.depth += 1
        if self.depth > MOST_NESTING:
            raise self.fault(f"brackets and signs stand more than {MOST_NESTING} deep")
        self.at += 1
        form = self.bracket() if char == "(" else self.factor()
        self.depth -= 1
        return _times(form, Fraction(-1)) if char in _MINUS else form

    def bracket(self) -> Fraction | Tags:
        """Read what stands in a bracket, and its end."""
        form = self.sum()
        if self.peek() != ")":
            what = f"{self.here()} stands where" if self.peek() else "it ends before"
            raise self.fault(f'{what} a ")" is due')
        self.at += 1
        return form

    def figure(self, number: str, word: str) -> Fraction:
        """Read an exact decimal; a tag glued to it wants a ``*`` between."""
        rest = word[len(number) :] if word.startswith(number) else ""
        if rest and not rest.startswith("-"):
            tag = _longest(rest, self.shapes)
            hint = [f"Type: {number}*{tag}"] if tag else []
            raise self.unknown_tag(word.split("-", maxsplit=1)[0], *hint)
        if sum(char.isdigit() for char in number) > MOST_DIGITS:
            raise self.fault(f"a figure may have {MOST_DIGITS} digits")
        self.at += len(number)
        return Fraction(number)

    def reference(self, shape: Shape) -> tuple[str, Fixed]:
        """Read ``@name/name`` after a tag, if it is there."""
        after = self.text[self.at : self.at + 1]
        if after == ".":
            name = _WORD.match(self.text, self.at + 1)
            place = name[0] if name else "NAME"
            raise self.fault(f"a place is named with @: {shape.tag}@{place}")
        fixed: dict[str, str] = {}
        if after == "@":
            self.fix(shape, fixed)
            while self.text[self.at : self.at + 1] == "/" and self.names_more(shape, fixed):
                self.fix(shape, fixed)
        return shape.tag, tuple(
            (axis.name, fixed[axis.name]) for axis in shape.axes if axis.name in fixed
        )

    def names_more(self, shape: Shape, fixed: Mapping[str, str]) -> bool:
        """Tell whether the ``/`` here is followed by a name on another axis of the tag."""
        word = _WORD.match(self.text, self.at + 1)
        free = [name for axis in shape.axes if axis.name not in fixed for name in axis.names]
        return word is not None and _longest(word[0], free) is not None

    def fix(self, shape: Shape, fixed: dict[str, str]) -> None:
        """Read one name after ``@`` or ``/`` and hold its axis there."""
        word = _WORD.match(self.text, self.at + 1)
        if word is None:
            raise self.fault(f"a name is missing after {shape.tag}@")
        free = [axis for axis in shape.axes if axis.name not in fixed]
        name = _longest(word[0], [name for axis in free for name in axis.names])
        if name is None:
            raise _unknown_name(shape, word[0])
        on = [axis for axis in free if axis.spelled(name) is not None]
        if len(on) > 1:
            axes = " and ".join(axis.name for axis in on)
            raise NotUnderstoodError(f"{shape.tag} has {quoted(name)} on two axes, {axes}.")
        self.at += 1 + len(name)
        fixed[on[0].name] = on[0].spelled(name) or name

    def added(self, left: Fraction | Tags, right: Fraction | Tags) -> Fraction | Tags:
        """Return the sum of two figures or of two sums of tags, never of one and the other."""
        if isinstance(left, Fraction) and isinstance(right, Fraction):
            return left + right
        if isinstance(left, Fraction) or isinstance(right, Fraction):
            raise self.fault("a figure is added to a tag; a stack adds tags alone")
        total = dict(left)
        for key, count in right.items():
            total[key] = total.get(key, Fraction(0)) + count
        return total

    def multiplied(self, left: Fraction | Tags, right: Fraction | Tags) -> Fraction | Tags:
        """Return a product of which one side at least is a figure."""
        if isinstance(right, Fraction):
            return _times(left, right)
        if isinstance(left, Fraction):
            return _times(right, left)
        raise self.fault("a tag is multiplied by a tag; a stack is a sum")

    def divided(self, left: Fraction | Tags, right: Fraction | Tags) -> Fraction | Tags:
        """Return what is left, divided by a figure."""
        if not isinstance(right, Fraction):
            raise self.fault("something is divided by a tag; a stack is a sum")
        if right == 0:
            raise self.fault("something is divided by 0")
        return _times(left, 1 / right)

    def peek(self) -> str:
        """Return the next character that is no space, or nothing at the end."""
        space = _SPACE.match(self.text, self.at)
        self.at = space.end() if space else self.at
        return self.text[self.at : self.at + 1]

    def here(self) -> str:
        """Return the word or sign at this place, in quotes."""
        word = _WORD.match(self.text, self.at)
        return quoted(word[0] if word else self.text[self.at])

    def fault(self, what: str) -> NotUnderstoodError:
        """Return the refusal of the whole text, for one reason."""
        return NotUnderstoodError(f"{self.shown} cannot be read as a stack: {what}.")

    def nothing_here(self) -> NotUnderstoodError:
        """Return the fault where neither tag nor figure begins."""
        if not self.text.strip():
            return NotUnderstoodError('A stack needs a tag at least, as in "D - H".')
        if not self.peek():
            return self.fault("it ends where a tag or a figure is due")
        return self.fault(f"{self.here()} stands where a tag or a figure is due")

    def unknown_tag(self, word: str, *hint: str) -> NotUnderstoodError:
        """Return the refusal of a word that is no tag, with a cure or the nearest tags."""
        tags = [shape.tag for shape in self.shapes.values()]
        return NotUnderstoodError(
            f"No feature {quoted(word)}.", *(hint or [near_or_list(word, tags, "Features")])
        )


def _longest(word: str, names: Iterable[str]) -> str | None:
    """Return the longest beginning of ``word``, up to one of its hyphens, that is a name."""
    known = {name.casefold() for name in names}
    end = len(word)
    while end > 0:
        if word[:end].casefold() in known:
            return word[:end]
        end = word.rfind("-", 0, end)
    return None


def _unknown_name(shape: Shape, word: str) -> NotUnderstoodError:
    names = [name for axis in shape.axes for name in axis.names]
    if not names:
        return NotUnderstoodError(f"{shape.tag} has neither positions nor stations.")
    return NotUnderstoodError(
        f"{shape.tag} has no position or station {quoted(word)}.", f"It has: {listed(names)}"
    )


def _times(form: Fraction | Tags, factor: Fraction) -> Fraction | Tags:
    if isinstance(form, Fraction):
        return form * factor
    return {key: count * factor for key, count in form.items()}
