"""The tables of the shop book, and the version of their schema."""

from __future__ import annotations

from sqlalchemy import (
    Column,
    Date,
    DateTime,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
)

SCHEMA_VERSION = 7
# History of the schema:
#   1  owners, machines, reports of use, services with their points, calls
#   2  what an owner can do at home; mechanisms of a machine that differs from its model
#   3  stays in the shop; machines found unsafe, and checks of their mains side
#   4  owners' wishes and postal addresses; what came of calls, promised calls, booked services;
#      the ledger of calendar entries, closures read from a calendar; shorter intervals of single
#      machines
#   5  all bench points of a service, which of them were planned, which were told of singly, when
#      and why not; work at named points only; the day on which a machine is wanted back; the stay
#      and the worker of a service; repairs; marks of danger and notes in tables of their own;
#      readings of electrical checks; points that a machine has not got
#   6  what each command changed, to be taken back, and the papers printed from it; the last
#      numbers given; machines handed on to another owner, and what was still an earlier one's on
#      the day; the real name of a machine and its mark; parts, questions and photos of stays, by
#      when a machine is promised, how far its work is, what was not handed back; several
#      telephone numbers for an owner
#   7  since when and until when a machine works under a condition

metadata = MetaData()

meta = Table(
    "meta",
    metadata,
    # "version": of the schema; "namespace": random, calendar ids are made from it
    Column("key", String, primary_key=True),
    Column("value", String, nullable=False),
)

counter = Table(
    "counter",
    metadata,
    Column("name", String, primary_key=True),  # of the table whose rows are numbered
    Column("last", Integer, nullable=False),  # the last number given; none is given twice
)

change = Table(
    "change",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("made_on", Date, nullable=False),  # as of which day
    Column("made_at", DateTime, nullable=False),  # UTC
    Column("words", String, nullable=False),  # what was said to do
    Column("device", String, nullable=False),  # on which it was; may be empty
    Column("undoes", ForeignKey("change.id")),  # the change it took back; null for any other
)

paper = Table(
    "paper",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("kind", String, nullable=False),  # like "care card"
    # of the machine it is about, and of the owner it is written to, who may be gone from the book
    Column("machine_id", Integer),
    Column("owner_id", Integer),
    Column("made_on", Date, nullable=False),
    Column("file", String, nullable=False),  # where it was written to; "-" is stdout
    Column("after_change", Integer, nullable=False),  # the last change then; 0 where there was none
)

change_row = Table(
    "change_row",
    metadata,
    Column("change_id", ForeignKey("change.id"), primary_key=True),
    Column("position", Integer, primary_key=True),  # in the order in which rows were first written
    Column("in_table", String, nullable=False),
    Column("row_key", String, nullable=False),  # JSON: the values of its primary key
    Column("before", String),  # JSON: the whole row; null where there was none
    Column("after", String),  # JSON: the whole row; null where there is none any more
)

owner = Table(
    "owner",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("name", String, nullable=False),
    Column("email", String, nullable=False),  # may be empty
    Column("added_on", Date, nullable=False),
    # "tip", "fine", "force" joined by ", "; may be empty
    Column("can", String, nullable=False, server_default=""),
    # "phone", "text", "e-mail" or "letter"
    Column("reached_by", String, nullable=False, server_default="phone"),
    Column("best_time", String, nullable=False, server_default=""),  # in words; may be empty
    Column("left_alone_on", Date),  # null while they may be rung and written to
    Column("left_alone_why", String),  # "asked for", "goes elsewhere" or "died"
    # postal, its lines joined by line ends; may be empty
    Column("address", String, nullable=False, server_default=""),
)

phone = Table(
    "phone",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("owner_id", ForeignKey("owner.id"), nullable=False, index=True),
    Column("position", Integer, nullable=False),  # among the owner's, from 1
    Column("number", String, nullable=False),  # as it is shown
    Column("dial", String, nullable=False),  # with the country's code; empty where not known
    Column("whose", String, nullable=False),  # in words; empty for the owner's own
    Column("wrong", Integer, nullable=False),  # 1: nobody of the owner's name answers there
)

machine = Table(
    "machine",
    metadata,
    Column("id", Integer, primary_key=True),  # shown as M-014
    Column("owner_id", ForeignKey("owner.id"), nullable=False, index=True),
    Column("model", String, nullable=False),  # id of a point list; empty while it was not seen
    Column("serial", String, nullable=False),  # may be empty
    Column("added_on", Date, nullable=False),
    Column("gone_on", Date),  # null while it is looked after
    Column("gone_why", String),  # "sold", "scrapped", "moved-on", "goes elsewhere" or "owner died"
    # ids joined by ", "; empty where they are the model's
    Column("mechanisms", String, nullable=False, server_default=""),
    # as on its badge; empty where its list's name will do
    Column("name", String, nullable=False, server_default=""),
    # where it stands, which of several it is; may be empty
    Column("mark", String, nullable=False, server_default=""),
)

worked_under = Table(
    "worked_under",
    metadata,
    Column("machine_id", ForeignKey("machine.id"), primary_key=True),
    Column("position", Integer, primary_key=True),  # among the machine's, from 1
    Column("condition", String, nullable=False),
    Column("since", Date),  # null where it always was so, or nobody knows
    Column("until", Date),  # the first day on which it was so no more; null while it is
)

handing_on = Table(
    "handing_on",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("handed_on", Date, nullable=False),
    Column("from_owner_id", ForeignKey("owner.id"), nullable=False, index=True),
)

job = Table(
    "job",
    metadata,
    Column("id", Integer, primary_key=True),  # shown as J-031
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("in_on", Date, nullable=False),
    Column("complaint", String, nullable=False),  # in the owner's words
    Column("left_with", String, nullable=False),  # joined by ", "; may be empty
    # what of it was not handed back at collection, likewise
    Column("still_here", String, nullable=False, server_default=""),
    Column("ready_by", Date),  # by which it was promised; null without such a day
    Column("stage", String),  # "on the bench" or "soaking"; null where nothing was said
    Column("ready_on", Date),  # null before it is ready
    Column("out_on", Date),  # null while it is in the shop
    # 1: it was said that nothing was done
    Column("nothing_done", Integer, nullable=False, server_default="0"),
    # 1: an earlier owner's, on the very day the machine was handed on
    Column("earlier_owner", Integer, nullable=False, server_default="0"),
)

part = Table(
    "part",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("job_id", ForeignKey("job.id")),  # the stay; null while it was with its owner
    Column("point_id", String, nullable=False),  # that was left waiting for it; may be empty
    Column("words", String, nullable=False),  # what it is
    Column("wanted_on", Date, nullable=False),
    Column("ordered_from", String, nullable=False),  # a name; may be empty
    Column("ordered_on", Date),  # null while it is to be ordered
    Column("here_on", Date),  # null before it came
    Column("ended_on", Date),  # null while it is wanted
    Column("ended_by", String),  # "fitted" or "not wanted"
)

question = Table(
    "question",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("job_id", ForeignKey("job.id"), nullable=False),
    Column("asked_on", Date, nullable=False),
    Column("words", String, nullable=False),
    Column("answered_on", Date),  # null while it is open
    Column("answer", String, nullable=False),  # in words; empty while it is open
    Column("answered_by", String, nullable=False),  # a person's name; empty while it is open
)

photo = Table(
    "photo",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("job_id", ForeignKey("job.id")),  # the stay; null while it was with its owner
    Column("added_on", Date, nullable=False),
    Column("file", String, nullable=False),  # its name in the shop's folder photos/
    Column("as_received", Integer, nullable=False),  # 1: it shows the machine as it came
)

electrical_check = Table(
    "electrical_check",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("checked_on", Date, nullable=False),
    Column("checked_by", String, nullable=False),  # a person's name
    Column("passed", Integer, nullable=False),  # 1 passed, 0 not
    Column("reading", String, nullable=False, server_default=""),  # in words; may be empty
    # 1: before the first plug-in, as a finding
    Column("before", Integer, nullable=False, server_default="0"),
)

unsafe_mark = Table(
    "unsafe_mark",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("danger", String, nullable=False),  # "electrical" or "mechanical"
    Column("found_on", Date, nullable=False),
    Column("why", String, nullable=False),
    Column("lifted_on", Date),  # null while it holds
    Column("lifted_by", String, nullable=False),  # a person's name; empty while it holds
    Column("put_right", String, nullable=False),  # what was; empty while it holds
)

repair = Table(
    "repair",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("done_on", Date, nullable=False),
    Column("words", String, nullable=False),  # what was put right
    Column("part", String, nullable=False),  # what was fitted; may be empty
    Column("done_by", String, nullable=False),  # a person's name; may be empty
)

repair_point = Table(
    "repair_point",
    metadata,
    Column("repair_id", ForeignKey("repair.id"), primary_key=True),
    Column("point_id", String, primary_key=True),  # of the machine's point list
    Column("left", String, nullable=False),  # as left: one word
)

note = Table(
    "note",
    metadata,
    Column("id", Integer, primary_key=True),
    # of a machine or of an owner; the other is null
    Column("machine_id", ForeignKey("machine.id"), index=True),
    Column("owner_id", ForeignKey("owner.id"), index=True),
    Column("noted_on", Date, nullable=False),
    Column("words", String, nullable=False),
    Column("for_owner", Integer, nullable=False),  # 1: the owner reads it on the record
    Column("earlier_owner", Integer, nullable=False, server_default="0"),  # as of a job
)

without_point = Table(
    "without_point",
    metadata,
    Column("machine_id", ForeignKey("machine.id"), primary_key=True),
    # of the machine's point list, which it has not got
    Column("point_id", String, primary_key=True),
    Column("since", Date, nullable=False),
    Column("why", String, nullable=False),  # may be empty
)

report = Table(
    "report",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("said_on", Date, nullable=False),
    Column("words", String, nullable=False),  # the owner's own
    # JSON: what was made of them; amounts in ticks, rates in ticks a day
    Column("understood", String, nullable=False),
    Column("earlier_owner", Integer, nullable=False, server_default="0"),  # as of a job
)

service = Table(
    "service",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("done_on", Date, nullable=False),
    Column("freed", Integer, nullable=False),  # 1: it had been seized and was freed
    Column("whole", Integer, nullable=False, server_default="1"),  # 0: work at named points only
    # 1: it has a row for each bench point that the list had
    Column("complete", Integer, nullable=False, server_default="0"),
    Column("back_on", Date),  # wanted back for what was left out; null where it is not
    # the stay it was in; null where the machine was not checked in
    Column("job_id", ForeignKey("job.id")),
    Column("done_by", String, nullable=False, server_default=""),  # a person's name; may be empty
)

service_point = Table(
    "service_point",
    metadata,
    Column("service_id", ForeignKey("service.id"), primary_key=True),
    Column("point_id", String, primary_key=True),  # of the machine's point list
    Column("done", Integer, nullable=False),  # 1 done, 0 not
    # as found: words joined by ", "; empty where nothing was noted
    Column("found", String, nullable=False),
    Column("left", String, nullable=False),  # as left: one word; empty where nothing was noted
    Column("planned", Integer, nullable=False, server_default="1"),  # 0: it could wait
    # 1: its work was told of by itself; 0: as part of the whole
    Column("ticked", Integer, nullable=False, server_default="0"),
    Column("done_on", Date),  # null: the service's day
    Column("why", String, nullable=False, server_default=""),  # why it was left out; may be empty
)

call = Table(
    "call",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("owner_id", ForeignKey("owner.id"), nullable=False, index=True),
    Column("about", String, nullable=False),  # "service", "settling in" or "come back"
    Column("call_on", Date, nullable=False),
    Column("made_on", Date, nullable=False),  # first shown
    Column("changed_on", Date, nullable=False),  # last given another day or other services
    Column("changes", Integer, nullable=False),  # how often that was
    Column("closed_on", Date),  # null while it is open
    Column("closed_by", String),  # "service", "withdrawn" or "outcome"
    Column("promised_on", Date),  # the day it stays on; null where the plan moves it
)

call_service = Table(
    "call_service",
    metadata,
    Column("call_id", ForeignKey("call.id"), primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), primary_key=True),
    # planned day of the service the call is for; day it was freed, about settling in
    Column("service_on", Date, nullable=False),
)

outcome = Table(
    "outcome",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("owner_id", ForeignKey("owner.id"), nullable=False, index=True),
    Column("call_id", ForeignKey("call.id")),  # null where no call was planned
    # of the call, as there; "other" where none was planned
    Column("about", String, nullable=False),
    Column("told_on", Date, nullable=False),
    Column("outcome", String, nullable=False),  # one of the words of core/planning/follow_up.py
    # booked, on which they want to be rung, or which was booked and called off or missed
    Column("day", Date),
    Column("note", String, nullable=False),  # may be empty
    # numbers of those meant, split by ";"; empty where all are
    Column("machines", String, nullable=False, server_default=""),
)

booking = Table(
    "booking",
    metadata,
    Column("id", Integer, primary_key=True),
    Column("machine_id", ForeignKey("machine.id"), nullable=False, index=True),
    Column("booked_for", Date, nullable=False),
    Column("made_on", Date, nullable=False),
    Column("closed_on", Date),  # null while it stands
    Column("closed_by", String),  # one of the words of core/records/booking.py
)

closure = Table(
    "closure",
    metadata,
    # of the entry in the shop's own calendar it was read from
    Column("uid", String, primary_key=True),
    Column("first_day", Date, nullable=False),
    Column("last_day", Date, nullable=False),  # included
    Column("why", String, nullable=False),  # may be empty
)

calendar_entry = Table(
    "calendar_entry",
    metadata,
    Column("feed", String, primary_key=True),  # which of the shop's calendar files: "calls"
    Column("uid", String, primary_key=True),
    Column("content", String, nullable=False),  # JSON: everything that is seen of the entry
    Column("last_day", Date, nullable=False),  # on which it shows
    Column("sequence", Integer, nullable=False),  # RFC 5545 section 3.8.7.4; never falls
    Column("made_at", DateTime, nullable=False),  # UTC
    # UTC; later than any time it was written with before
    Column("changed_at", DateTime, nullable=False),
    Column("withdrawn_on", Date),  # null while it stands
)

own_intervals = Table(
    "shortened",
    metadata,
    Column("machine_id", ForeignKey("machine.id"), primary_key=True),
    # of the machine's point list; ignored where the list has it no more
    Column("point_id", String, primary_key=True),
    # limit of use at the machine, a fraction: "43/10"; null where the book's holds
    Column("hours", String),
    Column("days", Integer),  # limit at rest; null where the book's holds
    Column("accepted_on", Date, nullable=False),
    Column("found", String, nullable=False),  # why: words joined by ", ", as found before the limit
    Column("found_on", Date, nullable=False),  # day of the service at which it was
)

Index("change_row_by_row", change_row.c.in_table, change_row.c.row_key)
Index("report_by_day", report.c.machine_id, report.c.said_on)
