"""Whom a name means: two hundred spellings of forty owners and the serial numbers of their
machines."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

import pytest

from oilchart.core.names import has_part, plain
from oilchart.core.records.machine_record import MachineRecord
from oilchart.core.records.owner import Owner
from oilchart.errors import OilchartError, UnknownName
from oilchart.sources.book.lookup import machine_named, machines_of, owner_named
from tests.builders.records import a_phone, a_record, an_owner

NAMES = (
    "Óscar Peña", "Ida Brandvold", "Łucja Wierzbicka", "Nguyễn Thị Bích", "Zdeňka Řeháková",
    "Zdena Ulm", "Gülten Akyıldız", "Søren Ødegård", "Anne-Marie O'Hanlon", "Jean Tredwell",
    "Άννα Καλλιγά", "Борис Ежов", "Þóra Æsudóttir", "François Noël", "Jürgen Großkopf",
    "Mária Szőke", "Ștefan Țurcanu", "Dvořák & Sons", "Tidelane School", "Quernhaven Sail Loft",
    "Margaret Oakshott", "Hazel Fenwright", "Owen Tarrowby", "Marisol Ybarrondo", "Juan Nadal",
    "Quiller Pembroke", "Bernadette Collier", "Hortense van der Aa", "Ewa Żółć", "Inês Conceição",
    "Rhiannon Pryce", "Tomáš Hřebík", "Élodie Lefèvre", "Gwen Pettigrove", "Kåre Måseide",
    "Desmond Okonjo-Reyes", "Philippa Smythe", "Aoife Ní Bhriain", "Leopold Quist",
    "Wanda Xylander",
)  # fmt: skip
OWNERS = {
    number: an_owner(number, name, phones=a_phone(f"020 7946 {number:04}"))
    for number, name in enumerate(NAMES, start=1)
}
MACHINES = [
    a_record(number, owner, serial=f"H{number % 9}-{20_000 + number * 37}")
    for number, owner in OWNERS.items()
]


def spellings_of(name: str) -> Iterator[str]:
    """A name as people type it who mean it, and find it."""
    yield name.upper()
    yield "".join(
        sign for sign in unicodedata.normalize("NFKD", name) if unicodedata.category(sign) != "Mn"
    )
    yield name.replace("-", " ").replace("'", "").lower()
    yield " ".join(reversed(name.split()))
    yield name.replace(" ", "")


def slips_of(name: str) -> Iterator[str]:
    """A name with a slip of the pen."""
    middle = len(name) // 2
    yield name[:middle] + name[middle + 1 :]
    yield name[: middle - 1] + name[middle] + name[middle - 1] + name[middle + 1 :]
    yield f"{name}e"


def found_or_offered(name: str, owner: Owner) -> str:
    """How an owner is met under a name; empty where they are not."""
    try:
        return "found" if owner_named(OWNERS, name) == owner else ""
    except UnknownName as refused:
        return "offered" if f"{owner.number} ({owner.name})" in str(refused) else ""


def test_two_hundred_spellings_find_their_owner_and_slips_of_the_pen_are_offered_them() -> None:
    tried = [(name, owner) for owner in OWNERS.values() for name in spellings_of(owner.name)]
    assert len(tried) == 200
    assert [name for name, owner in tried if found_or_offered(name, owner) != "found"] == []
    slips = [(name, owner) for owner in OWNERS.values() for name in slips_of(owner.name)]
    assert [name for name, owner in slips if not found_or_offered(name, owner)] == []


@pytest.mark.parametrize("form", ["{}", "{0.lower}", "no dash", "blank", "figures", "typed"])
def test_a_serial_number_finds_its_machine_however_it_is_cased_and_parted(form: str) -> None:
    for record in MACHINES:
        serial = record.serial
        wanted = {
            "no dash": serial.replace("-", ""),
            "blank": serial.replace("-", " ").lower(),
            "figures": serial.partition("-")[2],
            "typed": f"{serial[:4]} {serial[4:]}",
        }.get(form, serial.lower())
        assert machine_named(MACHINES, {}, wanted) == record, wanted


def test_a_serial_number_with_a_wrong_figure_is_offered_the_near_one() -> None:
    with pytest.raises(UnknownName, match=r"did you mean M-005 \(Zdeňka Řeháková\)"):
        machine_named(MACHINES, {}, "H5-2O185")


def test_letters_of_two_words_that_only_touch_are_no_name() -> None:
    assert not has_part("Juan Nadal", "Anna")
    assert has_part("Anne Marie", "annemarie")
    assert has_part("Anne-Marie", "anne marie")
    assert has_part("Juan Nadal", "an na")


def test_figures_alone_are_a_machines_number_before_they_are_part_of_anything() -> None:
    machines = [a_record(number, OWNERS[number], serial=f"A-{number}12") for number in (2, 12)]
    assert machine_named(machines, {}, "12").number == "M-012"
    assert owner_named(OWNERS, "12").number == "OW-012"
    exact = [*machines, a_record(3, OWNERS[3], serial="12")]
    with pytest.raises(UnknownName, match=r"fits 2: M-012 .*, M-003"):
        machine_named(exact, {}, "12")


def twins() -> tuple[Owner, list[MachineRecord]]:
    """An owner with two machines."""
    hazel = an_owner(41, "Hazel Marrick")
    return hazel, [
        a_record(51, hazel, model="pellbrook-8", serial="B 55120"),
        a_record(52, hazel, model="heron-3", mark="attic"),
    ]


def test_machines_of_one_owner_are_told_apart_by_model_mark_and_serial_number() -> None:
    _, machines = twins()
    with pytest.raises(UnknownName) as refused:
        machine_named([*MACHINES, *machines], {}, "marrick")
    assert "M-051 (Hazel Marrick, pellbrook-8, B 55120), M-052 (Hazel Marrick, heron-3, attic)" in (
        str(refused.value)
    )
    assert machine_named([*MACHINES, *machines], {}, "marrick pellbrook").number == "M-051"
    assert machine_named([*MACHINES, *machines], {}, "attic").number == "M-052"


def test_owners_of_one_name_are_told_apart_by_number_or_address() -> None:
    owners = {
        1: an_owner(1, "Jean Tredwell", phone="020 7946 0107"),
        2: an_owner(2, "Jean Trédwell", phone="", address=("3 Quay Steps", "Oakum")),
    }
    with pytest.raises(UnknownName) as refused:
        owner_named(owners, "Tredwell")
    assert "OW-001 (Jean Tredwell, 020 7946 0107), OW-002 (Jean Trédwell, 3 Quay Steps)" in (
        str(refused.value)
    )


def test_an_owner_is_named_for_all_machines_of_theirs() -> None:
    hazel, machines = twins()
    assert machines_of({**OWNERS, 41: hazel}, [*MACHINES, *machines], "marrick") == machines
    with pytest.raises(OilchartError, match="OW-040: Wanda Xylander has no machine"):
        machines_of(OWNERS, [], "xylander")


@pytest.mark.parametrize(
    ("text", "letters"),
    [("Óscar", "oscar"), ("H3-20 417", "h320417"), ("Straße", "strasse"), ("Łódź", "lodz")],
)
def test_what_is_compared_is_letters_and_figures_alone(text: str, letters: str) -> None:
    assert plain(text) == letters
