"""The fields and buttons of the pages of the menu Work."""

from __future__ import annotations

from takeoff.language import tr
from takeoff.plan.price_terms import PRICED_ITEMS
from takeoff.plan.work_records import CHANGE_STATES, MOVED, ROOM_STAGES
from takeoff.price.offer import ITEM_NAMES
from takeoff.sheets.work_tables import MOVED_WORDS, STAGE_WORDS, STATE_WORDS
from takeoff.ui.panels.work_page import Group, WorkButton, WorkField, WorkPage


def _day() -> WorkField:
    return WorkField("on", tr("Date"), tr("The day; today if not given."), hint="2031-05-20")


def states_page() -> WorkPage:
    """Sending, the line of states, the contract, going back."""
    sending = Group(
        "",
        (
            WorkField("to", tr("For whom"), tr("Whom the sheets are sent to.")),
            WorkField("by", tr("By"), tr("Who did it.")),
            WorkField("note", tr("Note"), tr("A word about it.")),
            _day(),
        ),
        (WorkButton("send", tr("Send…"), tr("Export the sheets into a folder, and keep in the job what they show")),),
    )
    line = Group(
        tr("States"),
        (
            WorkField("state", tr("State"), tr("The state that is meant"), ()),
            WorkField("other", tr("Against"), tr("The state that it is compared with"), ()),
        ),
        (
            WorkButton("accept", tr("Accepted"), tr("The price of that state is the contract.")),
            WorkButton("back", tr("Go back"), tr("The job as it was in that state; what is there now is kept.")),
        ),
    )
    return WorkPage(tr("Sent"), (sending, line))


def supply_page() -> WorkPage:
    """Deliveries and what is still to buy."""
    moved = tuple((key, tr(MOVED_WORDS[key])) for key in MOVED)
    group = Group(
        "",
        (
            WorkField("moved", tr("What"), tr("What happened to the packs"), moved),
            WorkField("pack", tr("Pack"), tr("Which pack or bar"), ()),
            WorkField("count", tr("Number"), tr("How many")),
            WorkField("batch", tr("Batch"), tr("The batch.")),
            WorkField("lot", tr("Lot"), tr("The lot that they are of."), ()),
            _day(),
        ),
        (
            WorkButton("enter", tr("Enter"), tr("Enter these packs or bars")),
            WorkButton("undo", tr("Remove last"), tr("Remove the last entry")),
        ),
    )
    whole = Group(
        tr("A whole order"),
        (WorkField("of", tr("Order of"), tr("The state whose order it is"), ()),),
        (
            WorkButton("all", tr("Whole order came"), tr("The whole order was ordered and delivered.")),
            WorkButton("cut", tr("Bars are cut"), tr("Every bar was cut by the cutting list.")),
            WorkButton("rest", tr("Order the rest"), tr("What is still to buy is ordered on that day.")),
        ),
    )
    return WorkPage(tr("Deliveries"), (group, whole))


def progress_page() -> WorkPage:
    """How far rooms are, and days on site."""
    stages = tuple((key, tr(STAGE_WORDS[key])) for key in ROOM_STAGES)
    where = Group(
        "",
        (
            WorkField("room", tr("Room"), tr("Room"), ()),
            _day(),
            WorkField("by", tr("Who"), tr("Who worked there.")),
            WorkField("stage", tr("Stage"), tr("How far the room is"), stages),
        ),
        (WorkButton("set", tr("Set stage"), tr("The room is so far on that day")),),
    )
    day = Group(
        tr("A day's work"),
        (
            WorkField("hours", tr("Hours"), tr("Hours, of all together.")),
            WorkField("pack", tr("Opened"), tr("Which pack was opened"), ()),
            WorkField("count", tr("Number"), tr("How many")),
            WorkField("batch", tr("Batch"), tr("The batch.")),
            WorkField("place", tr("Gauge at"), tr("Where the wet-film gauge was read")),
            WorkField("mm", tr("Reading mm"), tr("A reading of the wet-film gauge.")),
        ),
        (
            WorkButton("day", tr("Enter day"), tr("Enter hours, tubs and the reading for that room and day")),
            WorkButton("undo", tr("Remove last"), tr("Remove the last entry")),
            WorkButton(
                "own", tr("Own consumption…"), tr("Choose jobs that are done: litres per m², and over how many m²")
            ),
        ),
    )
    return WorkPage(tr("Progress"), (where, day))


def changes_page() -> WorkPage:
    """Changes on site."""
    items = (("", tr("none")), *((key, tr(ITEM_NAMES[key][0])) for key in PRICED_ITEMS))
    states = tuple((key, tr(STATE_WORDS[key])) for key in CHANGE_STATES)
    new = Group(
        "",
        (
            WorkField("place", tr("Place"), tr("Where: a room or a wall.")),
            WorkField("what", tr("Work"), tr("What is to be done there.")),
            WorkField("item", tr("Item"), tr("Item of the contract whose rate it has"), items),
            WorkField("size", tr("Size"), tr("Count and dimensions in m."), hint="2 × 3.60 × 1.20"),
            WorkField("hours", tr("Hours"), tr("Hours of work, at the rate of an hour.")),
            WorkField("materials", tr("Materials"), tr("Materials, as a sum.")),
            WorkField("price", tr("Price"), tr("Price of one unit, where the contract has none.")),
            WorkField("by", tr("Instructed by"), tr("Who instructed it")),
            WorkField("days", tr("Days"), tr("By how many days the work ends later.")),
            WorkField("photo", tr("Photo"), tr("Photo of the job that shows it."), ()),
            _day(),
        ),
        (
            WorkButton("add", tr("Enter"), tr("Enter the change under the next number")),
            WorkButton("omit", tr("Enter as omitted"), tr("It comes off instead.")),
        ),
    )
    known = Group(
        tr("Its state"),
        (
            WorkField("number", tr("Change"), tr("The change that is meant"), ()),
            WorkField("state", tr("State"), tr("What became of it"), states),
            WorkField("person", tr("By"), tr("Who agreed or instructed")),
        ),
        (
            WorkButton("set", tr("Set state"), tr("Set the state of the change on that day")),
            WorkButton("bill", tr("Bill all the same"), tr("Bill it although nobody agreed; it is marked so.")),
            WorkButton("page", tr("Page to sign…"), tr("Write the page of the change, to be signed")),
        ),
    )
    since = Group(
        tr("The drawing has changed"),
        (WorkField("since", tr("Since state"), tr("The state that the job is compared with"), ()),),
        (WorkButton("propose", tr("Propose"), tr("Propose what differs from that state, room by room.")),),
    )
    return WorkPage(tr("Changes on site"), (new, known, since))


def account_page() -> WorkPage:
    """The account."""
    final = (("", tr("not the last")), ("final", tr("the last")))
    group = Group(
        "",
        (
            WorkField("keep", tr("Kept back %"), tr("What is kept back of each bill but the last.")),
            WorkField("final", tr("This bill"), tr("Whether it is the last, of which nothing is kept back"), final),
            WorkField("paid", tr("Came in"), tr("Money that came in.")),
            _day(),
        ),
        (
            WorkButton("keep", tr("Set"), tr("Set what is kept back")),
            WorkButton("pay", tr("Enter payment"), tr("Enter the money that came in on that day")),
            WorkButton("bill", tr("Write bill…"), tr("Write the next bill: what is due counts as billed from now on.")),
            WorkButton("print", tr("Write account…"), tr("Write the account there, and a workbook beside it.")),
        ),
    )
    return WorkPage(tr("Account"), (group,))


def handover_page() -> WorkPage:
    """Defects, and the sheet that is handed over."""
    new = Group(
        "",
        (
            WorkField("place", tr("Place"), tr("Where: a room or a wall.")),
            WorkField("what", tr("Defect"), tr("What is not as it should be.")),
            WorkField("by", tr("By"), tr("Who noticed it or put it right")),
            _day(),
        ),
        (WorkButton("note", tr("Enter defect"), tr("Enter the defect under the next number")),),
    )
    known = Group(
        "",
        (WorkField("number", tr("Defect"), tr("The defect that is meant"), ()),),
        (
            WorkButton("mend", tr("Put right"), tr("That defect is put right on that day")),
            WorkButton(
                "write", tr("Hand-over sheet…"), tr("What was coated and measured, and what to heed from now on")
            ),
        ),
    )
    return WorkPage(tr("Hand-over"), (new, known))
