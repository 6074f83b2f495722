"""The tables of build and claim records: their fields, and the role each field plays.

This is the one list that intake maps onto, that the store's schema is held against by a
test, and that the data-format page is written from.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Role(Enum):
    """How the text of a field is to be read."""

    ID = "id"  # text as written, cleaned of invisible characters; never a number or a date
    WORD = "word"  # a term compared without regard to case and spacing
    TEXT = "text"  # free text
    NUMBER = "number"
    SHARE = "share"  # a number from 0 to 1; 60 % is 0.6
    WHOLE = "whole"  # a whole number
    DATE = "date"
    TIME = "time"  # date and time of day
    CHOICE = "choice"  # one of a few words
    FLAG = "flag"  # yes or no
    UNIT = "unit"


@dataclass(frozen=True)
class Field:
    """One column of a record table.

    Attributes
    ----------
    name : str
        Column name in files and in the store.
    role : Role
        How its text is read.
    meaning : str
        One line for the data-format page.
    required : bool
        Whether a row without it is set aside.
    choices : tuple of str
        The words allowed when ``role`` is ``CHOICE``.
    """

    name: str
    role: Role
    meaning: str
    required: bool = False
    choices: tuple[str, ...] = ()


@dataclass(frozen=True)
class RecordTable:
    """One kind of record.

    Attributes
    ----------
    name : str
        Table name in files and in the store.
    meaning : str
        What one row is.
    fields : tuple of Field
        In the order of the documentation.
    one_of : tuple of tuple of str
        Groups of fields of which each row needs at least one.
    identity : tuple of str
        Fields that name the row: two rows equal in them speak of the same fact. Empty
        when a row has no identity of its own and only an exact repeat can be recognised.
    """

    name: str
    meaning: str
    fields: tuple[Field, ...]
    one_of: tuple[tuple[str, ...], ...] = ()
    identity: tuple[str, ...] = ()

    def field(self, name: str) -> Field:
        """Field of that name.

        Raises
        ------
        KeyError
            If the table has none.
        """
        for field in self.fields:
            if field.name == name:
                return field
        raise KeyError(name)

    @property
    def field_names(self) -> tuple[str, ...]:
        """Names of all fields, in order."""
        return tuple(field.name for field in self.fields)


def _id(name: str, meaning: str, *, required: bool = False) -> Field:
    return Field(name, Role.ID, meaning, required)


def _word(name: str, meaning: str, *, required: bool = False) -> Field:
    return Field(name, Role.WORD, meaning, required)


def _text(name: str, meaning: str) -> Field:
    return Field(name, Role.TEXT, meaning)


def _number(name: str, meaning: str, *, required: bool = False) -> Field:
    return Field(name, Role.NUMBER, meaning, required)


def _whole(name: str, meaning: str) -> Field:
    return Field(name, Role.WHOLE, meaning)


def _date(name: str, meaning: str, *, required: bool = False) -> Field:
    return Field(name, Role.DATE, meaning, required)


def _time(name: str, meaning: str, *, required: bool = False) -> Field:
    return Field(name, Role.TIME, meaning, required)


def _unit(name: str, meaning: str, *, required: bool = False) -> Field:
    return Field(name, Role.UNIT, meaning, required)


def _choice(name: str, meaning: str, choices: tuple[str, ...], *, required: bool = False) -> Field:
    return Field(name, Role.CHOICE, meaning, required, choices)


PLACES = ("plant", "transit", "dealer", "owner")
MOLD_EVENTS = ("commissioned", "waxed", "repaired", "renamed", "retired")
RESULTS = ("pass", "fail", "not done")
CERTAINTIES = ("confirmed", "probable", "possible")
UNIT_ID = ("part_serial", "hull_serial", "job_no")

TABLES: tuple[RecordTable, ...] = (
    RecordTable(
        "hulls",
        "One hull that the plant builds.",
        (
            _id("hull_serial", "the plant's own serial of the hull", required=True),
            _id("job_no", "job number that ties its parts together before the serial exists"),
            _id("hin", "hull identification number as written"),
            _word("model", "model name", required=True),
            _text("options", "options fitted, separated by semicolons"),
            _date("completed_on", "day the hull passed final inspection"),
            _date("shipped_on", "day it left the plant"),
            _date("in_service_on", "day of retail delivery"),
            _date("exit_on", "day it left observation: scrapped, bought back"),
            _word("dealer", "dealer code"),
            _choice("place", "where it is now", PLACES),
            _word("plant", "plant that built it; all other numbers are unique within a plant"),
        ),
        identity=("hull_serial",),
    ),
    RecordTable(
        "parts",
        "One molded piece that became part of a hull.",
        (
            _id("part_serial", "serial of the part", required=True),
            _word("part", "what it is: hull, deck, grid, hatch", required=True),
            _id("hull_serial", "hull it went into"),
            _id("job_no", "job it was made for"),
            _id("mold_no", "mold it came from"),
            _whole("pull_no", "count of pulls of that mold, this one included"),
            _time("pulled_at", "when it left the mold"),
        ),
        one_of=(("hull_serial", "job_no"),),
        identity=("part_serial",),
    ),
    RecordTable(
        "operations",
        "One piece of work at one station by one crew at one time.",
        (
            _id("operation_id", "identity of the operation", required=True),
            _word("step", "kind of work: gelcoat spray, skin coat, bond", required=True),
            _id("part_serial", "part worked on"),
            _id("hull_serial", "hull worked on"),
            _id("job_no", "job worked on"),
            _id("station", "station"),
            _id("equipment", "machine, gun or pump used"),
            _id("operator", "code of the person"),
            _id("crew", "code of the crew"),
            _id("shift", "shift"),
            _time("started_at", "start", required=True),
            _time("finished_at", "end"),
            _whole("attempt", "1 for the first try, 2 for the first repeat"),
        ),
        one_of=(UNIT_ID,),
        identity=("operation_id",),
    ),
    RecordTable(
        "usages",
        "Material used by one operation.",
        (
            _id("operation_id", "operation that used it", required=True),
            _word("material", "what was used", required=True),
            _id("lot_no", "supplier's lot; blank means used, but not written down"),
            _id("drum_no", "container within the lot"),
            _number("quantity", "amount used"),
            _unit("unit", "unit of the amount"),
        ),
    ),
    RecordTable(
        "readings",
        "One value written down during an operation.",
        (
            _id("operation_id", "operation it belongs to", required=True),
            _word("quantity", "what was measured", required=True),
            _number("value", "the value", required=True),
            _unit("unit", "its unit", required=True),
        ),
    ),
    RecordTable(
        "ambient",
        "One value of a station's logger.",
        (
            _id("station", "station the logger stands at", required=True),
            _time("at", "when", required=True),
            _word("quantity", "what was measured", required=True),
            _number("value", "the value", required=True),
            _unit("unit", "its unit", required=True),
        ),
        identity=("station", "at", "quantity"),
    ),
    RecordTable(
        "lots",
        "One lot of material received.",
        (
            _word("material", "material", required=True),
            _id("lot_no", "supplier's lot", required=True),
            _word("supplier", "supplier code"),
            _date("made_on", "day it was made"),
            _date("received_on", "day it was received"),
            _date("expires_on", "last day of use"),
            _number("received_qty", "amount received"),
            _number("on_hand_qty", "amount still in stock"),
            _number("scrapped_qty", "amount scrapped"),
            _unit("unit", "unit of the amounts"),
        ),
        identity=("material", "lot_no", "supplier"),
    ),
    RecordTable(
        "blends",
        "One share of a lot that was mixed in the shop.",
        (
            _word("material", "material of the blend", required=True),
            _id("lot_no", "lot number of the blend", required=True),
            _word("parent_material", "material that went in"),
            _id("parent_lot_no", "lot that went in", required=True),
            Field("share", Role.SHARE, "its share of the blend, 0 to 1, or in %", required=True),
        ),
        identity=("material", "lot_no", "parent_material", "parent_lot_no"),
    ),
    RecordTable(
        "mold_events",
        "Something done to a mold.",
        (
            _id("mold_no", "mold", required=True),
            _time("at", "when", required=True),
            _choice("event", "what was done", MOLD_EVENTS, required=True),
            _whole("pull_no", "pulls so far"),
            _text("note", "remark; for a renaming, the new number"),
        ),
        identity=("mold_no", "at", "event"),
    ),
    RecordTable(
        "components",
        "One bought item fitted to a hull.",
        (
            _id("hull_serial", "hull it was fitted to"),
            _id("job_no", "job it was fitted to"),
            _word("component", "what it is: bilge pump, fuel hose", required=True),
            _id("serial_no", "its own serial"),
            _word("supplier", "supplier code"),
            _id("lot_no", "supplier's lot"),
            _time("fitted_at", "when"),
            _id("fitted_by", "code of the person"),
        ),
        one_of=(("hull_serial", "job_no"),),
    ),
    RecordTable(
        "inspections",
        "One check of a part or hull.",
        (
            _id("inspection_id", "identity of the check", required=True),
            _id("part_serial", "part checked"),
            _id("hull_serial", "hull checked"),
            _id("job_no", "job checked"),
            _word("checkpoint", "what was checked", required=True),
            _time("at", "when", required=True),
            _id("inspector", "code of the person"),
            _choice("result", "outcome", RESULTS, required=True),
            _number("value", "value measured"),
            _unit("unit", "its unit"),
            _word("defect", "defect found"),
            _word("zone", "where on the part"),
            _whole("attempt", "1 for the first try"),
            _text("photo", "file name of a picture"),
            _text("note", "remark"),
        ),
        one_of=(UNIT_ID,),
        identity=("inspection_id",),
    ),
    RecordTable(
        "claims",
        "One line of a warranty claim.",
        (
            _id("claim_no", "claim number", required=True),
            _id("line_no", "line within the claim"),
            _id("hull_serial", "hull, by serial or by hull identification number", required=True),
            _date("opened_on", "day the claim was opened", required=True),
            _date("failed_on", "day of the failure"),
            _word("symptom", "what is wrong", required=True),
            _word("component", "item concerned"),
            _word("zone", "where on the boat"),
            _whole("safety_class", "1 may hurt someone, 2 function or durability, 3 appearance"),
            _choice("certainty", "how sure the finding is", CERTAINTIES),
            Field("solicited", Role.FLAG, "found because the maker asked for it"),
            _number("engine_hours", "engine hours at the claim"),
            _number("cost", "cost of the claim"),
            _number("labour_hours", "labour hours"),
            _id("repeat_of", "claim number that this one repeats"),
            _word("status", "commercial status"),
            _text("note", "dealer's words"),
        ),
        identity=("claim_no", "line_no"),
    ),
)

TABLE_BY_NAME: dict[str, RecordTable] = {table.name: table for table in TABLES}
