"""What may be put into a water, and for what: the substances and uses that the tables hold."""

from collections.abc import Mapping
from enum import StrEnum
from functools import cache

from waterplan import tables
from waterplan.errors import ImpossibleInput

HOSE, TAP = "hose left running", "tap water"
_FISH, _BATH = "fish", "bath"


class Kind(StrEnum):
    """Which arithmetic a use asks for."""

    ANAESTHETIC = "anaesthetic bath"
    BATH = "bath with a published limit"
    UNLISTED = "bath without a figure in the tables"
    SALT = "salt"
    IODINE = "povidone-iodine"
    THINGS = "disinfection of things"
    DECHLORINATE = "chlorine taken out of water"

    @property
    def with_fish(self) -> bool:
        """Whether a fish is in the water while it works."""
        return self in {Kind.ANAESTHETIC, Kind.BATH, Kind.UNLISTED, Kind.SALT}


def known_substances() -> tuple[str, ...]:
    """The substances that may be chosen, by name.

    Returns
    -------
    tuple of str
        Names, in the order of the table `dose_substances`.

    Notes
    -----
    Adding a substance is adding a row.

    Examples
    --------
    >>> known_substances()[0]
    'tricaine'
    """
    return tuple(row["substance"] for row in tables.table("dose_substances"))


def substance(name: str) -> tables.Row:
    """What the other tables call a substance.

    Parameters
    ----------
    name : str
        Name, as in the table `dose_substances`.

    Returns
    -------
    tables.Row
        `agent`, `thing`, `form`, `stock`, `oxidant`, `drug`; `unit` is that of its level; `value` the most that is
        added at once, where there is such a figure.

    Raises
    ------
    LookupError
        No such substance.

    Notes
    -----
    `form` says whether it is weighed as it is (powder), needs its share of active substance (oil) or the strength of
    its bottle (liquid).

    Examples
    --------
    >>> substance("formalin").unit
    'uL/L'
    """
    return tables.row("dose_substances", substance=name)


@cache
def uses_of(name: str) -> Mapping[str, Kind]:
    """The uses of a substance that the tables speak of, and the arithmetic of each.

    Parameters
    ----------
    name : str
        Name, as in the table `dose_substances`.

    Returns
    -------
    mapping of str to Kind
        By the name of the use, words set apart by spaces; a substance of which no table speaks has a bath without a
        figure.

    Raises
    ------
    LookupError
        No such substance.

    Notes
    -----
    Read from `anaesthetics`, `bath_limits`, `disinfectants`, `iodine_uses`, `salt_ceilings` and `neutralisers`.

    Examples
    --------
    >>> list(uses_of("tricaine"))
    ['sedation', 'transport', 'induction', 'maintenance']
    """
    agent = substance(name)["agent"]
    if agent == "iodine":
        return dict.fromkeys([*_column("iodine_uses", "use"), _FISH], Kind.IODINE)
    if agent == "salt":
        return dict.fromkeys(_column("salt_ceilings", "exposure"), Kind.SALT)
    found = dict.fromkeys(_column("anaesthetics", "stage", agent=agent), Kind.ANAESTHETIC)
    found |= dict.fromkeys(_column("bath_limits", "use", agent=agent), Kind.BATH)
    found |= dict.fromkeys(_column("disinfectants", "use", agent=agent), Kind.THINGS)
    if _column("neutralisers", "neutraliser", oxidant="chlorine", neutraliser=agent):
        found |= dict.fromkeys((TAP, HOSE), Kind.DECHLORINATE)
    return found or {_BATH: Kind.UNLISTED}


def every_use() -> tuple[str, ...]:
    """Every use of every substance, once.

    Returns
    -------
    tuple of str
        Names of uses.

    Notes
    -----
    In the order of the substances.

    Examples
    --------
    >>> "induction" in every_use()
    True
    """
    return tuple(dict.fromkeys(use for name in known_substances() for use in uses_of(name)))


def kind_of(name: str, *, use: str) -> Kind:
    """The arithmetic that a substance and its use ask for.

    Parameters
    ----------
    name : str
        Name, as in the table `dose_substances`.
    use : str
        What it is for, as `uses_of` names it.

    Returns
    -------
    Kind
        Which sum to make.

    Raises
    ------
    ImpossibleInput
        The substance has no such use in the tables.
    LookupError
        No such substance.

    Notes
    -----
    The tables decide.

    Examples
    --------
    >>> kind_of("potassium permanganate", use="bath").value
    'bath with a published limit'
    """
    known = uses_of(name)
    if use not in known:
        raise ImpossibleInput("use", use, "one of " + ", ".join(known))
    return known[use]


def _column(table: str, column: str, **keys: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row[column].replace("_", " ") for row in tables.rows(table, **keys)))
