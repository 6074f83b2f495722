"""Options that belong together, handed to a command as one value."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

_Said = TypeVar("_Said")


def folded(
    command: Callable[..., _Said], name: str, gather: Callable[..., Any]
) -> Callable[..., _Said]:
    """Give a command the options of another function in the place of one parameter.

    Parameters
    ----------
    command : callable
        With a parameter of that name. It is handed what ``gather`` makes of the options, or
        None where no option was given and the parameter has None for a default.
    name : str
        The parameter.
    gather : callable
        Its parameters are the options.

    Returns
    -------
    callable
        The command as the command line sees it.
    """
    own = inspect.signature(command, eval_str=True)
    options = inspect.signature(gather, eval_str=True).parameters
    may_lack = own.parameters[name].default is None

    @wraps(command)
    def asked(**given: Any) -> _Said:
        said = {option: given.pop(option) for option in options}
        nothing = all(value is None or value == [] for value in said.values())
        return command(**{name: None if nothing and may_lack else gather(**said)}, **given)

    parameters: list[inspect.Parameter] = []
    for parameter in own.parameters.values():
        if parameter.name == name:
            parameters += options.values()
        else:
            parameters.append(parameter)
    named = [each.replace(kind=inspect.Parameter.KEYWORD_ONLY) for each in parameters]
    asked.__signature__ = own.replace(parameters=named)  # type: ignore[attr-defined]  # typer reads it
    asked.__annotations__ = {each.name: each.annotation for each in named}
    return asked
