"""A shop book as the first oilchart made it."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterable
from contextlib import closing

from oilchart.shop.folder import Shop
from tests.builders.make import TODAY
from tests.builders.shop_steps import add_machine, add_owner, record_service

BACK_TO_6 = (
    "ALTER TABLE machine ADD COLUMN conditions VARCHAR DEFAULT '' NOT NULL",
    "UPDATE machine SET conditions = coalesce((SELECT group_concat(condition, ', ') FROM "
    "worked_under WHERE machine_id = machine.id AND until IS NULL), '')",
    "DROP TABLE worked_under",
    "UPDATE meta SET value = '6' WHERE key = 'version'",
)
BACK_TO_5 = (
    *BACK_TO_6,
    "DROP TABLE change_row",
    "DROP TABLE change",
    "DROP TABLE counter",
    "DROP TABLE paper",
    "DROP TABLE handing_on",
    "ALTER TABLE report DROP COLUMN earlier_owner",
    "ALTER TABLE job DROP COLUMN earlier_owner",
    "ALTER TABLE note DROP COLUMN earlier_owner",
    "ALTER TABLE machine DROP COLUMN name",
    "ALTER TABLE machine DROP COLUMN mark",
    "ALTER TABLE job ADD COLUMN waiting_for VARCHAR DEFAULT '' NOT NULL",
    "UPDATE job SET waiting_for = coalesce((SELECT words FROM part WHERE job_id = job.id AND "
    "ended_on IS NULL), '')",
    "ALTER TABLE job DROP COLUMN still_here",
    "ALTER TABLE job DROP COLUMN ready_by",
    "ALTER TABLE job DROP COLUMN stage",
    "DROP TABLE part",
    "DROP TABLE question",
    "DROP TABLE photo",
    "ALTER TABLE owner ADD COLUMN phone VARCHAR DEFAULT '' NOT NULL",
    "ALTER TABLE owner ADD COLUMN phone_wrong INTEGER DEFAULT '0' NOT NULL",
    "UPDATE owner SET phone = p.number, phone_wrong = p.wrong FROM phone AS p "
    "WHERE p.owner_id = owner.id AND p.position = 1",
    "DROP TABLE phone",
    "UPDATE meta SET value = '5' WHERE key = 'version'",
)
BACK_TO_4 = (
    *BACK_TO_5,
    "DELETE FROM service_point WHERE done = 0 AND planned = 0 AND found = '' AND left = ''",
    "ALTER TABLE service_point DROP COLUMN planned",
    # a column that refers to another table cannot be dropped
    "CREATE TABLE service_4 (id INTEGER NOT NULL PRIMARY KEY, machine_id INTEGER NOT NULL "
    "REFERENCES machine (id), done_on DATE NOT NULL, freed INTEGER NOT NULL, note VARCHAR NOT "
    "NULL)",
    "INSERT INTO service_4 SELECT id, machine_id, done_on, freed, '' FROM service",
    "DROP TABLE service",
    "ALTER TABLE service_4 RENAME TO service",
    "CREATE INDEX ix_service_machine_id ON service (machine_id)",
    "ALTER TABLE service_point DROP COLUMN ticked",
    "ALTER TABLE service_point DROP COLUMN done_on",
    "ALTER TABLE service_point DROP COLUMN why",
    "ALTER TABLE job DROP COLUMN nothing_done",
    "ALTER TABLE electrical_check DROP COLUMN reading",
    "ALTER TABLE electrical_check DROP COLUMN before",
    "ALTER TABLE machine ADD COLUMN note VARCHAR DEFAULT '' NOT NULL",
    "ALTER TABLE machine ADD COLUMN unsafe_on DATE",
    "ALTER TABLE machine ADD COLUMN unsafe_why VARCHAR",
    "DROP TABLE unsafe_mark",
    "DROP TABLE repair_point",
    "DROP TABLE repair",
    "DROP TABLE note",
    "DROP TABLE without_point",
    "UPDATE meta SET value = '4' WHERE key = 'version'",
)
BACK_TO_1 = (
    *BACK_TO_4,
    "ALTER TABLE owner DROP COLUMN can",
    "ALTER TABLE machine DROP COLUMN mechanisms",
    "ALTER TABLE machine DROP COLUMN unsafe_on",
    "ALTER TABLE machine DROP COLUMN unsafe_why",
    "DROP TABLE job",
    "DROP TABLE electrical_check",
    "ALTER TABLE owner DROP COLUMN reached_by",
    "ALTER TABLE owner DROP COLUMN best_time",
    "ALTER TABLE owner DROP COLUMN phone_wrong",
    "ALTER TABLE owner DROP COLUMN left_alone_on",
    "ALTER TABLE owner DROP COLUMN left_alone_why",
    "ALTER TABLE owner DROP COLUMN address",
    "ALTER TABLE call DROP COLUMN promised_on",
    "DROP TABLE outcome",
    "DROP TABLE booking",
    "DROP TABLE calendar_entry",
    "DROP TABLE closure",
    "DROP TABLE shortened",
    "UPDATE meta SET value = '1' WHERE key = 'version'",
)


def make_old(shop: Shop) -> None:
    """Put an owner and a serviced machine into a new shop's book, and bring that to schema 1."""
    add_owner(shop, name="Ida", phone="01632 960107", email="")
    add_machine(shop, owner="Ida", model="heron-3", serial="H3", note="")
    record_service(shop, "M-001", TODAY)
    put_back(shop, BACK_TO_1)


def put_back(shop: Shop, statements: Iterable[str]) -> None:
    """Bring a shop's book back to an earlier schema."""
    with closing(sqlite3.connect(shop.book_path)) as book:
        for statement in statements:
            book.execute(statement)
        book.commit()
