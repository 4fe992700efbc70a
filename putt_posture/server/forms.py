"""What is typed into a form of the page: read field by field; it stays typed, and an error stands beside its field.

A reader is a function of the library that takes a text and raises a sentence for the coach. What a field may be is
decided there; this module only keeps text, values and sentences together.
"""

from collections.abc import Awaitable, Callable, Mapping, Sequence
from typing import Final, Protocol, Self, TypeVar

from attrs import define, field
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.requests import Request
from starlette.responses import Response

from putt_posture.errors import PuttPostureError
from putt_posture.shown_units import AsIs

__all__ = ["Typed", "with_form"]

_MOST_FIELDS: Final = 100
_LONGEST: Final = 20_000
"""Letters of one field; longer than any answer that a person types."""

Value = TypeVar("Value")


class _FormRoute(Protocol):
    def __call__(self, request: Request, typed: "Typed", /) -> Response: ...


@define
class Typed:
    """What was typed into a form; falsy once something in it is wrong.

    Attributes
    ----------
    values : dict of str to list of str
        What was typed, by the name of the field.
    errors : dict of str to str
        What is wrong, by the name of the field; "" is for what no field caused.
    """

    values: dict[str, list[str]] = field(factory=dict)
    errors: dict[str, str] = field(factory=dict)

    @classmethod
    def of(cls, form: FormData) -> Self:
        """Return what was typed into a form that was sent.

        Parameters
        ----------
        form : FormData
        """
        values: dict[str, list[str]] = {}
        for name, value in form.multi_items():
            if isinstance(value, str):
                values.setdefault(name, []).append(value[:_LONGEST])
        return cls(values)

    @classmethod
    def filled(cls, known: Mapping[str, str | Sequence[str]]) -> Self:
        """Return a form that is filled with what is known.

        Parameters
        ----------
        known : mapping of str to str or sequence of str
        """
        return cls({name: [each] if isinstance(each, str) else list(each) for name, each in known.items()})

    def __bool__(self) -> bool:
        return not self.errors

    def text(self, name: str) -> str:
        """Return the text of a field, without blanks around it; empty where there is none.

        Parameters
        ----------
        name : str
        """
        return (self.values.get(name) or [""])[-1].strip()

    def shown(self, name: str) -> AsIs:
        """Return the text of a field for its page, with the units that were typed.

        Parameters
        ----------
        name : str
        """
        return AsIs(self.text(name))

    def chosen(self, name: str) -> tuple[str, ...]:
        """Return all that was ticked under one name.

        Parameters
        ----------
        name : str
        """
        return tuple(self.values.get(name, ()))

    def ticked(self, name: str) -> bool:
        """Tell whether a box was ticked.

        Parameters
        ----------
        name : str
        """
        return bool(self.values.get(name))

    def choice(self, name: str, among: Sequence[str], *, needed: str = "") -> str | None:
        """Return which word was chosen; None where none was, or a word that is not there to choose.

        Parameters
        ----------
        name : str
        among : sequence of str
        needed : str
            The sentence for the field where one has to be chosen; without it none is needed.
        """
        said = self.text(name)
        if said in among:
            return said
        if needed:
            self.errors.setdefault(name, needed)
        return None

    def read(self, name: str, reader: Callable[[str], Value], *, needed: str = "") -> Value | None:
        """Read a field; what is wrong with it becomes its error, and None is returned.

        Parameters
        ----------
        name : str
        reader : callable
            Takes the text, and raises a `PuttPostureError` where it cannot be read.
        needed : str
            The sentence for an empty field; without it the field may be empty.
        """
        said = self.text(name)
        if not said:
            if needed:
                self.errors.setdefault(name, needed)
            return None
        return self.check(name, reader, said)

    def check(self, name: str, act: Callable[..., Value], /, *given: object, **more: object) -> Value | None:
        """Call a function of the library; its sentence becomes the error of a field, and None is returned.

        Parameters
        ----------
        name : str
            The field that caused what may be wrong.
        act : callable
        *given, **more : object
            What it is called with.
        """
        try:
            return act(*given, **more)
        except PuttPostureError as error:
            self.errors.setdefault(name, str(error))
            return None


def with_form(route: _FormRoute) -> Callable[[Request], Awaitable[Response]]:
    """Return a route that takes the form that was sent as a second argument, and runs in the thread pool.

    Parameters
    ----------
    route : callable
    """

    async def read_and_answer(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=_MOST_FIELDS) as form:
            typed = Typed.of(form)
        return await run_in_threadpool(route, request, typed)

    read_and_answer.__name__ = getattr(route, "__name__", "form")
    return read_and_answer
